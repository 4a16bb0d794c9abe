// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Seal.h"

#include <algorithm>
#include <map>
#include <set>

#include "core/base/Digest.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// A row as text in which no value can run into the next: each goes with its length.
class Row {
public:
    explicit Row(std::string_view kind) { add(kind); }
    Row& add(std::string_view value)
    {
        m_text += std::to_string(value.size());
        m_text += ':';
        m_text += value;
        return *this;
    }
    Row& add(double value) { return add(std::string_view(exact(value))); }
    Row& add(const std::optional<double>& value)
    {
        return value ? add(*value) : add(std::string_view("-"));
    }
    Row& add(ScanPx position) { return add(position.column).add(position.row); }
    Row& addNumber(long long value) { return add(std::string_view(std::to_string(value))); }
    template<typename Enum>
    Row& addKind(Enum kind)
    {
        return addNumber(static_cast<long long>(kind));
    }
    Row& add(const std::vector<ScanPx>& positions)
    {
        addNumber(static_cast<long long>(positions.size()));
        for (const ScanPx position : positions)
            add(position);
        return *this;
    }
    Row& add(const Ring& ring)
    {
        add(ring.vertices);
        for (const EdgeKind kind : ring.kinds)
            addKind(kind);
        return *this;
    }
    std::string take() { return std::move(m_text); }

private:
    std::string m_text;
};

std::string rowOf(const Outline& outline, std::string_view where)
{
    Row row("outline");
    row.add(where).add(outline.context).add(outline.tracedBy).add(outline.tracedAt);
    for (const Part& part : outline.parts) {
        row.addNumber(static_cast<long long>(part.holes.size())).add(part.outer);
        for (const Ring& hole : part.holes)
            row.add(hole);
    }
    return row.take();
}

std::string rowOf(const Pin& pin, const Peg* peg)
{
    Row row("pin");
    row.add(pin.peg).add(pin.mark).addKind(pin.use);
    // Only where it was used: seals from before these fields were kept stay whole.
    if (pin.onDatum || pin.datumM)
        row.addNumber(pin.onDatum ? 1 : 0).add(pin.datumM);
    if (peg)
        row.addKind(peg->frame)
            .add(peg->position.east)
            .add(peg->position.north)
            .add(peg->levelM)
            .add(peg->standardErrorEastM)
            .add(peg->standardErrorNorthM)
            .add(peg->standardErrorLevelM);
    return row.take();
}

std::string digestOfRows(std::string head, std::vector<std::string> rows)
{
    std::sort(rows.begin(), rows.end());
    for (const std::string& row : rows)
        head += "\n" + row;
    return digestOf(head);
}

template<typename Map, typename Key>
auto lookUp(const Map& map, const Key& key) -> typename Map::mapped_type
{
    const auto place = map.find(key);
    return place == map.end() ? nullptr : place->second;
}

} // namespace

Seals::Seals(const ProjectRecords& records) : m_records(records)
{
    for (const Drawing& one : records.drawings) {
        m_drawings.emplace(one.number, &one);
        m_drawingById.emplace(one.id, &one);
    }
    for (const Context& one : records.contexts)
        m_contexts.emplace(one.number, &one);
    for (const Sheet& one : records.sheets)
        m_sheets.emplace(one.number, &one);
    for (const Peg& one : records.pegs)
        m_pegs.emplace(one.name, &one);
    for (const Pin& one : records.pins)
        m_rowsOfDrawing[one.drawing].push_back(rowOf(one, lookUp(m_pegs, one.peg)));
    for (const Outline& one : records.outlines) {
        const Drawing* on = lookUp(m_drawingById, one.drawing);
        m_rowsOfDrawing[one.drawing].push_back(rowOf(one, ""));
        m_rowsOfContext[one.context].push_back(rowOf(one, on ? on->number : ""));
    }
    for (const EdgeLine& one : records.edgeLines)
        m_rowsOfDrawing[one.drawing].push_back(
            Row("edge").addKind(one.kind).add(one.context).add(one.label).add(one.vertices).take());
    for (const SpotLevel& one : records.spotLevels)
        m_rowsOfDrawing[one.drawing].push_back(
            Row("level").add(one.context).add(one.mark).add(one.levelM).take());
    for (const DrawnPoint& one : records.drawnPoints)
        m_rowsOfDrawing[one.drawing].push_back(
            Row("point").addKind(one.kind).add(one.number).add(one.text).add(one.mark).take());
    for (const Relation& one : records.relations)
        m_rowsOfContext[one.context].push_back(Row("relation").addKind(one.kind).add(one.other).take());
}

std::string Seals::ofDrawing(const Drawing& drawing) const
{
    const Sheet* sheet = lookUp(m_sheets, drawing.sheet);
    Row head("drawing");
    head.add(drawing.number)
        .addKind(drawing.kind)
        .add(drawing.title)
        .add(drawing.trench)
        .add(drawing.sheet);
    head.add(drawing.scaleDenominator).add(drawing.drawnBy).add(drawing.drawnOn).add(drawing.facing);
    head.add(drawing.datumM).add(drawing.frame).addKind(drawing.model).add(drawing.note);
    if (!drawing.sectionLine.empty() || drawing.verticalExaggeration != 1)
        head.add(drawing.sectionLine).add(drawing.verticalExaggeration);
    if (sheet)
        head.add(sheet->scanSha256)
            .add(sheet->frame.dpiX)
            .add(sheet->frame.dpiY)
            .addNumber(sheet->frame.faceDown ? 1 : 0);
    const auto rows = m_rowsOfDrawing.find(drawing.id);
    return digestOfRows(head.take(),
                        rows == m_rowsOfDrawing.end() ? std::vector<std::string>() : rows->second);
}

std::string Seals::ofContext(const Context& context) const
{
    Row head("context");
    head.add(context.number)
        .add(context.kind)
        .add(context.trench)
        .add(context.description)
        .add(context.period);
    head.add(context.recordedBy).add(context.recordedOn).add(context.topM).add(context.bottomM);
    const auto rows = m_rowsOfContext.find(context.number);
    return digestOfRows(head.take(),
                        rows == m_rowsOfContext.end() ? std::vector<std::string>() : rows->second);
}

std::string Seals::of(const std::string& subjectKind, const std::string& subject) const
{
    if (subjectKind == "drawing") {
        const Drawing* drawing = lookUp(m_drawings, subject);
        return drawing ? ofDrawing(*drawing) : std::string();
    }
    const Context* context = subjectKind == "context" ? lookUp(m_contexts, subject) : nullptr;
    return context ? ofContext(*context) : std::string();
}

std::vector<std::size_t> lastSignOffs(const ProjectRecords& records)
{
    std::map<std::pair<std::string, std::string>, std::size_t> last;
    for (std::size_t i = 0; i < records.signOffs.size(); ++i)
        last[{records.signOffs[i].subjectKind, records.signOffs[i].subject}] = i;
    std::vector<std::size_t> indices;
    for (const auto& [subject, index] : last)
        indices.push_back(index);
    std::sort(indices.begin(), indices.end());
    return indices;
}

std::vector<std::size_t> newlyBrokenSeals(const ProjectRecords& records)
{
    std::vector<std::size_t> broken;
    if (records.signOffs.empty())
        return broken;
    const Seals seals(records);
    for (const std::size_t i : lastSignOffs(records)) {
        const SignOff& signOff = records.signOffs[i];
        if (signOff.stage == Stage::SignedOff && !signOff.broken &&
            seals.of(signOff.subjectKind, signOff.subject) != signOff.sealSha256)
            broken.push_back(i);
    }
    return broken;
}

Makers::Makers(const ProjectRecords& records)
{
    std::map<std::int64_t, std::string> numberOf;
    for (const Drawing& drawing : records.drawings) {
        numberOf[drawing.id] = drawing.number;
        m_makers[{"drawing", drawing.number}].insert(drawing.drawnBy);
    }
    for (const Context& context : records.contexts)
        m_makers[{"context", context.number}].insert(context.recordedBy);
    for (const Outline& outline : records.outlines) {
        m_makers[{"context", outline.context}].insert(outline.tracedBy);
        if (const auto drawing = numberOf.find(outline.drawing); drawing != numberOf.end())
            m_makers[{"drawing", drawing->second}].insert(outline.tracedBy);
    }
    for (auto& [subject, makers] : m_makers)
        makers.erase("");
}

std::set<std::string> Makers::of(const std::string& subjectKind, const std::string& subject) const
{
    const auto found = m_makers.find({subjectKind, subject});
    return found == m_makers.end() ? std::set<std::string>() : found->second;
}

SigningRules::SigningRules(const ProjectRecords& records, std::span<const Matter> open)
    : m_seals(records), m_makers(records)
{
    for (const Person& person : records.people)
        m_people.insert(person.initials);
    for (const Drawing& drawing : records.drawings)
        m_stages.emplace(Subject{"drawing", drawing.number}, drawing.stage);
    for (const Context& context : records.contexts)
        m_stages.emplace(Subject{"context", context.number}, context.stage);
    for (const Matter& matter : open) {
        // Signing again is what puts these two right.
        if (matter.severity != Severity::Must || matter.check == "seal broken" ||
            matter.check == "checked by its maker")
            continue;
        m_firstMust.emplace(Subject{matter.subjectKind, matter.subject}, &matter);
        if (!matter.drawing.empty())
            m_firstMust.emplace(Subject{"drawing", matter.drawing}, &matter);
    }
    for (const std::size_t i : lastSignOffs(records))
        m_last[{records.signOffs[i].subjectKind, records.signOffs[i].subject}] = &records.signOffs[i];
}

Result<void> SigningRules::may(const SigningIntent& intent) const
{
    const Subject subject{intent.subjectKind, intent.subject};
    const std::string named = intent.subjectKind + " " + intent.subject;
    const auto refuse = [&](const std::string& why) {
        return Error{ErrorCode::Conflict, named + ": " + why};
    };
    const auto stage = m_stages.find(subject);
    const auto last = m_last.find(subject);
    const bool changedSinceChecked = last != m_last.end() && last->second->stage == Stage::Checked &&
                                     last->second->sealSha256 != sealOf(intent);
    if (stage == m_stages.end())
        return Error{ErrorCode::NotFound, named + ": the project has no such record"};
    if (!m_people.contains(intent.person))
        return Error{ErrorCode::NotFound, named + ": nobody in the project has the initials \"" +
                                              intent.person + "\"; add the person first"};
    if (stage->second == Stage::SignedOff)
        return refuse("it is signed off already");
    if (intent.stage == Stage::Checked && stage->second == Stage::Checked && !changedSinceChecked)
        return refuse("it is checked already; what is left is to sign it off");
    // Contexts have no scanning and pinning of their own: they may be checked as soon as they are recorded.
    if (intent.stage == Stage::SignedOff && stage->second < Stage::Checked)
        return refuse("it has to be checked before it is signed off");
    if (intent.stage == Stage::Checked && intent.subjectKind == "drawing" && stage->second < Stage::Traced)
        return refuse("it has to be traced before it is checked");
    if (m_makers.of(intent.subjectKind, intent.subject).contains(intent.person))
        return refuse(intent.person + " drew, recorded or traced it; somebody else has to check it");
    if (const auto must = m_firstMust.find(subject); must != m_firstMust.end())
        return refuse("still open: " + must->second->words + "; put it right or set it aside");
    if (intent.stage == Stage::SignedOff && changedSinceChecked)
        return refuse("it was changed after " + last->second->person + " checked it; check it again");
    return {};
}

Result<void> maySign(const ProjectRecords& records, const SigningIntent& intent,
                     std::span<const Matter> open)
{
    return SigningRules(records, open).may(intent);
}

} // namespace inkpeg
