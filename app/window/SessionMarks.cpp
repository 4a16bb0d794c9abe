// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on levels, points and lines of the drawing at hand.
#include <algorithm>
#include <set>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/base/Text.h"
#include "core/records/Names.h"
#include "core/store/SpotLevels.h"

namespace inkpeg {
std::string Session::contextAt(ScanPx at) const
{
    if (!m_scene.drawing || !m_index)
        return {};
    const auto id = m_index->smallestAt(at, 0);
    const Outline* there = id ? m_scene.drawing->outlines.byId(*id) : nullptr;
    return there ? there->context : std::string();
}

QStringList Session::undrawnNumbers(PointKind kind) const
{
    QStringList numbers;
    if (!isOpen())
        return numbers;
    std::set<std::string> drawn;
    for (const DrawnPoint& point : m_project->all<DrawnPoint>())
        if (point.kind == kind)
            drawn.insert(point.number);
    const auto add = [&](const auto& records) {
        for (const auto& record : records)
            if (!drawn.contains(record.number))
                numbers << words(record.number);
    };
    if (kind == PointKind::Find)
        add(m_project->all<Find>());
    else if (kind == PointKind::Sample)
        add(m_project->all<Sample>());
    else if (kind == PointKind::Timber)
        add(m_project->all<Timber>());
    return numbers;
}

bool Session::addLevel(ScanPx at, const QString& text)
{
    if (!m_scene.drawing)
        return false;
    const Result<WrittenLevel> level = readWrittenLevel(*m_project, text.toStdString());
    if (!level)
        return refuse(level.error());
    SpotLevel record;
    record.drawing = m_drawing;
    record.context = contextAt(at);
    record.mark = onLattice(at);
    record.levelM = level->levelM;
    record.point = level->point;
    return act(tr("set level %1").arg(words(writtenLevelText(record))),
               [&](Editor& edit) { return edit.put(record); });
}

QStringList Session::levelledPointNames() const
{
    QStringList names;
    for (const std::string& point : levelledPoints(*m_project))
        names << words(point);
    return names;
}

bool Session::addPoint(PointKind kind, ScanPx at, const QString& text)
{
    const std::string written = text.trimmed().toStdString();
    if (!m_scene.drawing)
        return false;
    if (written.empty())
        return refuse(
            {ErrorCode::BadInput, kind == PointKind::Note
                                      ? "a note needs its text; type it in the field"
                                      : "a " + nameOf(kind) + " needs its number; type it in the field"});
    DrawnPoint record;
    record.drawing = m_drawing;
    record.kind = kind;
    (kind == PointKind::Note ? record.text : record.number) = written;
    record.mark = onLattice(at);
    return act(tr("mark %1 %2").arg(words(nameOf(kind)), words(written)),
               [&](Editor& edit) { return edit.put(record); });
}

bool Session::addLine(LineKind kind, const std::vector<ScanPx>& vertices, const QString& context,
                      const QString& label)
{
    if (!m_scene.drawing)
        return false;
    EdgeLine record;
    record.drawing = m_drawing;
    record.kind = kind;
    record.context = context.trimmed().toStdString();
    record.label = label.trimmed().toStdString();
    record.vertices = vertices;
    if (kind == LineKind::SectionLine && record.label.find('-') == std::string::npos)
        return refuse({ErrorCode::BadInput, "a section line needs the letters of both its ends, e.g. A-B"});
    return act(tr("draw a line: %1").arg(words(nameOf(kind))),
               [&](Editor& edit) { return edit.put(record); });
}

namespace {

/// Changes the record of a mark within an act.
template<typename Record, typename Change>
Result<void> changeMark(Editor& edit, const std::vector<Record>& records, std::int64_t id, Change change)
{
    const auto there = std::ranges::find(records, id, &Record::id);
    if (there == records.end())
        return Error{ErrorCode::NotFound, "the mark is no longer on this drawing"};
    Record record = *there;
    if (const Result<void> changed = change(record); !changed)
        return changed;
    return edit.put(record);
}

} // namespace

bool Session::moveMark(const MarkHit& mark, ScanPx to)
{
    if (!m_scene.drawing)
        return false;
    const BoardDrawing& drawing = *m_scene.drawing;
    return act(tr("move a mark"), [&](Editor& edit) -> Result<void> {
        const auto place = [&](auto& record) -> Result<void> {
            record.mark = onLattice(to);
            return {};
        };
        switch (mark.what) {
        case MarkHit::What::Level:
            return changeMark(edit, drawing.levels, mark.id, place);
        case MarkHit::What::Point:
            return changeMark(edit, drawing.points, mark.id, place);
        case MarkHit::What::Line:
            break;
        }
        return changeMark(edit, drawing.lines, mark.id, [&](EdgeLine& line) -> Result<void> {
            std::ranges::replace(line.vertices, mark.at, onLattice(to));
            return {};
        });
    });
}

bool Session::removeMark(const MarkHit& mark)
{
    return act(tr("remove a mark"), [&](Editor& edit) -> Result<void> {
        switch (mark.what) {
        case MarkHit::What::Level:
            return edit.remove<SpotLevel>(mark.id);
        case MarkHit::What::Point:
            return edit.remove<DrawnPoint>(mark.id);
        case MarkHit::What::Line:
            break;
        }
        return edit.remove<EdgeLine>(mark.id);
    });
}

bool Session::rewriteMark(const MarkHit& mark, const QString& text)
{
    if (!m_scene.drawing)
        return false;
    const BoardDrawing& drawing = *m_scene.drawing;
    return act(tr("write a mark anew"), [&](Editor& edit) -> Result<void> {
        const std::string written = text.trimmed().toStdString();
        switch (mark.what) {
        case MarkHit::What::Level:
            return changeMark(edit, drawing.levels, mark.id, [&](SpotLevel& level) -> Result<void> {
                const Result<WrittenLevel> read = readWrittenLevel(*m_project, written);
                if (!read)
                    return read.error();
                level.levelM = read->levelM;
                level.point = read->point;
                return {};
            });
        case MarkHit::What::Point:
            return changeMark(edit, drawing.points, mark.id, [&](DrawnPoint& point) -> Result<void> {
                if (written.empty())
                    return Error{ErrorCode::BadInput, "a mark needs its number or text; X removes it"};
                (point.kind == PointKind::Note ? point.text : point.number) = written;
                return {};
            });
        case MarkHit::What::Line:
            break;
        }
        return changeMark(edit, drawing.lines, mark.id, [&](EdgeLine& line) -> Result<void> {
            (line.kind == LineKind::SectionLine ? line.label : line.context) = written;
            return {};
        });
    });
}

QString Session::textOfMark(const MarkHit& mark) const
{
    if (!m_scene.drawing)
        return {};
    if (mark.what == MarkHit::What::Level) {
        const auto level = std::ranges::find(m_scene.drawing->levels, mark.id, &SpotLevel::id);
        return level == m_scene.drawing->levels.end() ? QString() : words(writtenLevelText(*level));
    }
    if (mark.what == MarkHit::What::Point) {
        const auto point = std::ranges::find(m_scene.drawing->points, mark.id, &DrawnPoint::id);
        return point == m_scene.drawing->points.end()
                   ? QString()
                   : words(point->kind == PointKind::Note ? point->text : point->number);
    }
    const auto line = std::ranges::find(m_scene.drawing->lines, mark.id, &EdgeLine::id);
    return line == m_scene.drawing->lines.end()
               ? QString()
               : words(line->kind == LineKind::SectionLine ? line->label : line->context);
}

} // namespace inkpeg
