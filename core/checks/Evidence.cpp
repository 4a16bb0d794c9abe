// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Evidence.h"

#include "core/checks/Links.h"
#include "core/checks/PlanAgainstSection.h"
#include "core/checks/PlanAreas.h"

namespace inkpeg {

namespace {

template<typename Map, typename Key>
auto lookUp(const Map& map, const Key& key) -> typename Map::mapped_type
{
    const auto place = map.find(key);
    return place == map.end() ? nullptr : place->second;
}

template<typename Key>
std::span<const std::size_t> groupOf(const Grouped<Key>& groups, const Key& key)
{
    const auto place = groups.find(key);
    return place == groups.end() ? std::span<const std::size_t>() : std::span(place->second);
}

template<typename Record>
Placed placedFrom(PointKind kind, const Record& record, std::string_view material,
                  std::optional<double> levelM)
{
    return {kind,     record.number,   record.context, record.trench,
            material, record.position, levelM,         record.standardErrorM};
}

} // namespace

std::string pointKindName(PointKind kind)
{
    switch (kind) {
    case PointKind::Find:
        return "find";
    case PointKind::Sample:
        return "sample";
    case PointKind::Timber:
        return "timber";
    case PointKind::Note:
        return "note";
    }
    return {};
}

std::vector<Placed> placedOf(const ProjectRecords& records)
{
    std::vector<Placed> all;
    all.reserve(records.finds.size() + records.samples.size() + records.timbers.size());
    for (const Find& find : records.finds)
        all.push_back(placedFrom(PointKind::Find, find, find.material, find.levelM));
    for (const Sample& sample : records.samples)
        all.push_back(placedFrom(PointKind::Sample, sample, sample.kind, sample.levelM));
    for (const Timber& timber : records.timbers)
        all.push_back(placedFrom(PointKind::Timber, timber, timber.kind, timber.topM));
    return all;
}

Evidence::Evidence(const ProjectRecords& theRecords)
    : records(theRecords), m_onGround(theRecords.outlines.size(), nullptr),
      m_sequence(readStratigraphy(theRecords.contexts, theRecords.relations))
{
    for (const Context& one : records.contexts)
        m_contexts.emplace(one.number, &one);
    for (const Drawing& one : records.drawings) {
        m_drawings.emplace(one.id, &one);
        m_drawingsByNumber.emplace(one.number, &one);
    }
    for (const Trench& one : records.trenches)
        m_trenches.emplace(one.name, &one);
    for (const Sheet& one : records.sheets)
        m_sheets.emplace(one.number, &one);
    for (const Person& one : records.people)
        m_people.emplace(one.initials, &one);
    for (std::size_t i = 0; i < records.outlines.size(); ++i) {
        m_outlinesOf[records.outlines[i].context].push_back(i);
        m_outlinesOn[records.outlines[i].drawing].push_back(i);
    }
    for (std::size_t i = 0; i < records.pins.size(); ++i)
        m_pinsOn[records.pins[i].drawing].push_back(i);
    for (const OutlineOnGround& one : records.groundOutlines)
        if (drawingFits(records.outlines[one.outline].drawing))
            m_onGround[one.outline] = &one;
}

Evidence::~Evidence() = default;

const Context* Evidence::context(const std::string& number) const
{
    return lookUp(m_contexts, number);
}
const Drawing* Evidence::drawing(std::int64_t id) const
{
    return lookUp(m_drawings, id);
}
const Drawing* Evidence::drawingNumbered(const std::string& number) const
{
    return lookUp(m_drawingsByNumber, number);
}
const Trench* Evidence::trench(const std::string& name) const
{
    return lookUp(m_trenches, name);
}
const Sheet* Evidence::sheet(const std::string& number) const
{
    return lookUp(m_sheets, number);
}
bool Evidence::knowsPerson(const std::string& initials) const
{
    return lookUp(m_people, initials) != nullptr;
}

const DrawingPlace* Evidence::place(std::int64_t drawing) const
{
    const auto found = records.places.find(drawing);
    return found == records.places.end() ? nullptr : &found->second;
}

bool Evidence::drawingFits(std::int64_t drawing) const
{
    const DrawingPlace* found = place(drawing);
    return found && fits(*found);
}

std::span<const std::size_t> Evidence::outlinesOf(const std::string& context) const
{
    return groupOf(m_outlinesOf, context);
}
std::span<const std::size_t> Evidence::outlinesOn(std::int64_t drawing) const
{
    return groupOf(m_outlinesOn, drawing);
}
std::span<const std::size_t> Evidence::pinsOn(std::int64_t drawing) const
{
    return groupOf(m_pinsOn, drawing);
}

const OutlineOnGround* Evidence::onGround(std::size_t outline) const
{
    return m_onGround[outline];
}

Reach& Evidence::reach()
{
    if (!m_reach)
        m_reach = std::make_unique<Reach>(m_sequence);
    return *m_reach;
}

const PlanAgainstSection& Evidence::planAgainstSection()
{
    if (!m_planAgainstSection)
        m_planAgainstSection = std::make_unique<PlanAgainstSection>(comparePlansAndSections(records));
    return *m_planAgainstSection;
}

const PlanAreas& Evidence::areas()
{
    if (!m_areas)
        m_areas = std::make_unique<PlanAreas>(*this);
    return *m_areas;
}

const std::vector<Placed>& Evidence::placed()
{
    if (!m_placed)
        m_placed = std::make_unique<std::vector<Placed>>(placedOf(records));
    return *m_placed;
}

const std::vector<Link>& Evidence::links()
{
    if (!m_links)
        m_links = std::make_unique<std::vector<Link>>(linkToOutlines(records, placed()));
    return *m_links;
}

void Evidence::showOutline(std::size_t outline, Matter& matter) const
{
    const Outline& shown = records.outlines[outline];
    const Drawing* on = drawing(shown.drawing);
    if (on) {
        matter.drawing = on->number;
        if (matter.trench.empty())
            matter.trench = on->trench;
    }
    if (!shown.parts.empty() && !shown.parts.front().outer.vertices.empty())
        matter.scan = shown.parts.front().outer.vertices.front();
    const OutlineOnGround* ground = onGround(outline);
    if (ground && on && !showsLevels(on->kind) && !ground->parts.empty() &&
        !ground->parts.front().outer.empty())
        matter.ground = ground->parts.front().outer.front();
}

void Evidence::showContext(const std::string& number, Matter& matter) const
{
    const std::span<const std::size_t> outlines = outlinesOf(number);
    if (!outlines.empty())
        showOutline(outlines.front(), matter);
}

Matter& Report::add(std::string subjectKind, std::string subject, std::string words, std::string whatToDo)
{
    Matter matter;
    matter.check = m_check;
    matter.severity = m_severity;
    matter.subjectKind = std::move(subjectKind);
    matter.subject = std::move(subject);
    matter.words = std::move(words);
    matter.whatToDo = std::move(whatToDo);
    m_matters.push_back(std::move(matter));
    return m_matters.back();
}

Matter& Report::about(const Drawing& drawing, std::string words, std::string whatToDo)
{
    Matter& matter = add("drawing", drawing.number, std::move(words), std::move(whatToDo));
    matter.trench = drawing.trench;
    matter.drawing = drawing.number;
    matter.person = drawing.drawnBy;
    return matter;
}

Matter& Report::about(const Context& context, const Evidence& evidence, std::string words,
                      std::string whatToDo)
{
    Matter& matter = add("context", context.number, std::move(words), std::move(whatToDo));
    matter.trench = context.trench;
    matter.person = context.recordedBy;
    evidence.showContext(context.number, matter);
    return matter;
}

Matter& Report::about(const Placed& placed, std::string words, std::string whatToDo)
{
    Matter& matter =
        add(pointKindName(placed.kind), std::string(placed.number), std::move(words), std::move(whatToDo));
    matter.trench = placed.trench;
    matter.ground = placed.position;
    return matter;
}

} // namespace inkpeg
