// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/RegisterFields.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

#include "core/records/RegisterCells.h"

namespace inkpeg {

std::optional<double> numberIn(const Cell& cell, const NumberRange& range)
{
    std::string text = cell.text;
    if (cell.decimalComma && text.find('.') == std::string::npos)
        if (const std::size_t comma = text.find(','); comma != std::string::npos)
            text[comma] = '.';
    const std::optional<double> value = parseNumber(text);
    return value && *value >= range.least && *value <= range.most ? value : std::nullopt;
}

bool isIsoDate(std::string_view text)
{
    const std::string_view full = "0000-00-00";
    if (text.size() != 4 && text.size() != 7 && text.size() != 10)
        return false;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (full[i] == '-' ? text[i] != '-' : (text[i] < '0' || text[i] > '9'))
            return false;
    const auto part = [&](std::size_t from, std::size_t count) {
        return text.size() > from ? static_cast<unsigned>(parseWhole(text.substr(from, count)).value_or(0))
                                  : 1U;
    };
    using namespace std::chrono;
    return year_month_day(year(static_cast<int>(part(0, 4))), month(part(5, 2)), day(part(8, 2))).ok();
}

bool isCompassPoint(std::string_view text)
{
    static constexpr std::array<std::string_view, 16> Points = {
        "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
    return std::find(Points.begin(), Points.end(), text) != Points.end();
}

std::optional<double> scaleIn(const Cell& cell)
{
    Cell denominator = cell;
    if (const std::size_t colon = cell.text.find(':'); colon != std::string::npos) {
        if (trimmed(std::string_view(cell.text).substr(0, colon)) != "1")
            return std::nullopt;
        denominator.text = std::string(trimmed(std::string_view(cell.text).substr(colon + 1)));
    }
    return numberIn(denominator, {1, 100'000, ""});
}

std::optional<bool> truthIn(const Cell& cell)
{
    const std::string word = lowerAscii(cell.text);
    if (word == "yes" || word == "true" || word == "1" || word == "y")
        return true;
    if (word == "no" || word == "false" || word == "0" || word == "n")
        return false;
    return std::nullopt;
}

std::optional<std::string> wrongAsAWhole(const std::optional<GroundM>& position)
{
    if (position && std::isnan(position->east) != std::isnan(position->north))
        return std::isnan(position->east) ? "north without east; give both or neither"
                                          : "east without north; give both or neither";
    return std::nullopt;
}

namespace {

constexpr bool Required = true;
constexpr bool Optional = false;

constexpr const char* DateWords = "a date such as 2026-05-04 (ISO 8601)";
constexpr const char* FacingWords = "a point of the compass such as N or NE";

/// Leads from a line to itself, for lines that are records.
struct Itself {
    template<typename Line>
    Line& operator()(Line& line) const
    {
        return line;
    }
};
template<auto Member>
struct MemberOf {
    template<typename Line>
    auto& operator()(Line& line) const
    {
        return line.*Member;
    }
};

template<typename Line>
FieldMaker<Line, Itself> fieldsOf()
{
    return FieldMaker<Line, Itself>(Itself{});
}

RegisterField<ContextLine> relationField(const char* column, RelationKind kind)
{
    return {{column, Optional, "numbers of contexts, with blanks between; 1030-1033 for a range"},
            [kind](ContextLine& line, const Cell& cell) -> Problem {
                std::vector<std::string> numbers = numbersNamed(cell.text);
                if (std::find(numbers.begin(), numbers.end(), line.context.number) != numbers.end())
                    return "the context names itself";
                std::sort(numbers.begin(), numbers.end());
                numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
                line.relations[kind] = std::move(numbers);
                return std::nullopt;
            },
            [kind](const ContextLine& line) {
                std::string text;
                if (const auto found = line.relations.find(kind); found != line.relations.end())
                    for (const std::string& number : found->second)
                        text += (text.empty() ? "" : " ") + number;
                return text;
            }};
}

RegisterField<Drawing> scaleField()
{
    return {{"scale", Required, "denominator of the scale: 20 for 1:20"},
            [](Drawing& drawing, const Cell& cell) -> Problem {
                const auto scale = scaleIn(cell);
                if (!scale)
                    return notA(cell, "a scale such as 20 or 1:20");
                drawing.scaleDenominator = *scale;
                return std::nullopt;
            },
            [](const Drawing& drawing) { return exact(drawing.scaleDenominator); }};
}

RegisterField<SheetLine> faceDownField()
{
    return {{"face_down", Optional, "yes if the film lay face down on the scanner"},
            [](SheetLine& line, const Cell& cell) -> Problem {
                const auto truth = truthIn(cell);
                if (!truth)
                    return notA(cell, "yes or no");
                line.sheet.frame.faceDown = *truth;
                return std::nullopt;
            },
            [](const SheetLine& line) { return std::string(line.sheet.frame.faceDown ? "yes" : "no"); }};
}

RegisterField<PinLine> onDatumField()
{
    return {{"on_datum", Optional, "sections: yes if the mark lies on the datum line"},
            [](PinLine& line, const Cell& cell) -> Problem {
                const auto value = truthIn(cell);
                if (!value)
                    return notA(cell, "yes or no");
                line.pin.onDatum = *value;
                return std::nullopt;
            },
            [](const PinLine& line) { return std::string(line.pin.onDatum ? "yes" : "no"); }};
}

RegisterField<SheetLine> dpiField()
{
    return {{"dpi", Optional, "resolution of the scan, where the file does not say"},
            [](SheetLine& line, const Cell& cell) -> Problem {
                line.dpi = numberIn(cell, Dpi);
                return line.dpi ? std::nullopt : notA(cell, Dpi.words);
            },
            [](const SheetLine& line) { return exact(line.sheet.frame.dpiX); }};
}

RegisterField<SheetLine> scanField()
{
    return {{"scan", Optional, "path of the scan, from the project file or from the register's folder"},
            [](SheetLine& line, const Cell& cell) -> Problem {
                line.scan = cell.text;
                return std::nullopt;
            },
            [](const SheetLine& line) { return line.sheet.scanFile; }};
}

template<typename Line>
void addPlace(std::vector<RegisterField<Line>>& fields, std::optional<GroundM> Line::*place)
{
    const auto f = fieldsOf<Line>();
    fields.push_back(
        f.ordinate({"east", Optional, "metres east in the project's CRS"}, place, &GroundM::east));
    fields.push_back(
        f.ordinate({"north", Optional, "metres north in the project's CRS"}, place, &GroundM::north));
}

} // namespace

template<>
const std::vector<RegisterField<Person>>& registerFields<Person>()
{
    static const auto f = fieldsOf<Person>();
    static const std::vector<RegisterField<Person>> Fields = {
        f.text({"initials", Required, "initials as written on film"}, &Person::initials),
        f.text({"name", Optional, "full name"}, &Person::name),
        f.text({"role", Optional, "role in the project"}, &Person::role)};
    return Fields;
}

template<>
const std::vector<RegisterField<Trench>>& registerFields<Trench>()
{
    static const auto f = fieldsOf<Trench>();
    static const std::vector<RegisterField<Trench>> Fields = {
        f.text({"name", Required, "name of the trench"}, &Trench::name),
        f.text({"kind", Optional, "trench, test pit or sondage"}, &Trench::kind),
        f.polygon({"limit_wkt", Optional, "limit of excavation as POLYGON in the project's CRS"},
                  &Trench::limit, &GroundM::east, &GroundM::north)};
    return Fields;
}

template<>
const std::vector<RegisterField<Peg>>& registerFields<Peg>()
{
    static const auto f = fieldsOf<Peg>();
    static const FieldMaker<Peg, MemberOf<&Peg::position>> place{{}};
    static const std::vector<RegisterField<Peg>> Fields = {
        f.text({"name", Required, "name of the peg"}, &Peg::name),
        f.name({"frame", Optional, "crs, or site for the local site grid"}, &Peg::frame),
        place.number({"east", Required, "metres east in its frame"}, &GroundM::east, AnyMetres),
        place.number({"north", Required, "metres north in its frame"}, &GroundM::north, AnyMetres),
        f.number({"level", Optional, "level in metres"}, &Peg::levelM, AnyMetres),
        f.number({"se_east", Optional, "standard error of east in metres"}, &Peg::standardErrorEastM,
                 NoNegativeMetres),
        f.number({"se_north", Optional, "standard error of north in metres"}, &Peg::standardErrorNorthM,
                 NoNegativeMetres),
        f.number({"se_level", Optional, "standard error of the level in metres"}, &Peg::standardErrorLevelM,
                 NoNegativeMetres),
        f.text({"note", Optional, "note"}, &Peg::note)};
    return Fields;
}

template<>
const std::vector<RegisterField<SheetLine>>& registerFields<SheetLine>()
{
    static const FieldMaker<SheetLine, MemberOf<&SheetLine::sheet>> f{{}};
    static const std::vector<RegisterField<SheetLine>> Fields = {
        f.text({"number", Required, "number of the sheet"}, &Sheet::number),
        f.text({"film_size", Optional, "size of the film, such as A3"}, &Sheet::filmSize), scanField(),
        dpiField(), faceDownField()};
    return Fields;
}

template<>
const std::vector<RegisterField<Drawing>>& registerFields<Drawing>()
{
    static const auto f = fieldsOf<Drawing>();
    static const std::vector<RegisterField<Drawing>> Fields = {
        f.text({"number", Required, "drawing number"}, &Drawing::number),
        f.name({"kind", Required, "plan, section, elevation or profile"}, &Drawing::kind),
        f.text({"title", Optional, "title as written"}, &Drawing::title),
        f.text({"trench", Optional, "name of the trench"}, &Drawing::trench),
        f.text({"sheet", Optional, "number of the sheet that carries it"}, &Drawing::sheet),
        scaleField(),
        f.text({"drawn_by", Optional, "initials"}, &Drawing::drawnBy),
        f.checked({"drawn_on", Optional, DateWords}, &Drawing::drawnOn, &isIsoDate),
        f.checked({"facing", Optional, FacingWords}, &Drawing::facing, &isCompassPoint),
        f.number({"datum", Optional, "sections: level of the drawn datum line in metres"}, &Drawing::datumM,
                 AnyMetres),
        f.polygon({"frame", Optional, "its part of the sheet as POLYGON in pixels of the scan"},
                  &Drawing::frame, &ScanPx::column, &ScanPx::row),
        f.text(
            {"section_line", Optional,
             "sections: pegs of its line from A over the bends to B, with ; between, a bar before a step"},
            &Drawing::sectionLine),
        f.number({"exaggeration", Optional, "sections: how many times taller than wide it was drawn"},
                 &Drawing::verticalExaggeration, Exaggeration)};
    return Fields;
}

template<>
const std::vector<RegisterField<ContextLine>>& registerFields<ContextLine>()
{
    static const FieldMaker<ContextLine, MemberOf<&ContextLine::context>> f{{}};
    static const std::vector<RegisterField<ContextLine>> Fields = {
        f.plain({"number", Required, "context number"}, &Context::number),
        f.text({"kind", Optional, "cut, fill, layer, structure, timber"}, &Context::kind),
        f.text({"trench", Optional, "name of the trench"}, &Context::trench),
        f.text({"description", Optional, "description"}, &Context::description),
        f.text({"period", Optional, "period or phase"}, &Context::period),
        f.text({"recorded_by", Optional, "initials"}, &Context::recordedBy),
        f.checked({"recorded_on", Optional, DateWords}, &Context::recordedOn, &isIsoDate),
        f.number({"top", Optional, "highest level in metres"}, &Context::topM, AnyMetres),
        f.number({"bottom", Optional, "lowest level in metres"}, &Context::bottomM, AnyMetres),
        relationField("above", RelationKind::Above),
        relationField("below", RelationKind::Below),
        relationField("cuts", RelationKind::Cuts),
        relationField("cut_by", RelationKind::CutBy),
        relationField("fills", RelationKind::Fills),
        relationField("filled_by", RelationKind::FilledBy),
        relationField("same_as", RelationKind::SameAs),
        relationField("abuts", RelationKind::Abuts)};
    return Fields;
}

template<>
const std::vector<RegisterField<Find>>& registerFields<Find>()
{
    static const std::vector<RegisterField<Find>> Fields = [] {
        const auto f = fieldsOf<Find>();
        std::vector<RegisterField<Find>> fields = {
            f.text({"number", Required, "small find number"}, &Find::number),
            f.plain({"context", Optional, "number of its context"}, &Find::context),
            f.text({"trench", Optional, "name of the trench"}, &Find::trench),
            f.text({"material", Optional, "material"}, &Find::material),
            f.text({"description", Optional, "description"}, &Find::description)};
        addPlace(fields, &Find::position);
        fields.push_back(f.number({"level", Optional, "level in metres"}, &Find::levelM, AnyMetres));
        fields.push_back(f.number({"se", Optional, "standard error of the place in metres"},
                                  &Find::standardErrorM, NoNegativeMetres));
        return fields;
    }();
    return Fields;
}

template<>
const std::vector<RegisterField<Sample>>& registerFields<Sample>()
{
    static const std::vector<RegisterField<Sample>> Fields = [] {
        const auto f = fieldsOf<Sample>();
        std::vector<RegisterField<Sample>> fields = {
            f.plain({"number", Required, "sample number"}, &Sample::number),
            f.plain({"context", Optional, "number of its context"}, &Sample::context),
            f.text({"trench", Optional, "name of the trench"}, &Sample::trench),
            f.text({"kind", Optional, "bulk, column, dendro, ..."}, &Sample::kind),
            f.text({"description", Optional, "description"}, &Sample::description)};
        addPlace(fields, &Sample::position);
        fields.push_back(f.number({"level", Optional, "level in metres"}, &Sample::levelM, AnyMetres));
        fields.push_back(f.number({"se", Optional, "standard error of the place in metres"},
                                  &Sample::standardErrorM, NoNegativeMetres));
        return fields;
    }();
    return Fields;
}

template<>
const std::vector<RegisterField<Timber>>& registerFields<Timber>()
{
    static const std::vector<RegisterField<Timber>> Fields = [] {
        const auto f = fieldsOf<Timber>();
        std::vector<RegisterField<Timber>> fields = {
            f.text({"number", Required, "timber number"}, &Timber::number),
            f.plain({"context", Optional, "number of its context"}, &Timber::context),
            f.text({"trench", Optional, "name of the trench"}, &Timber::trench),
            f.text({"kind", Optional, "post, stake, plank, ..."}, &Timber::kind)};
        addPlace(fields, &Timber::position);
        for (auto&& field :
             {f.number({"top", Optional, "level of the top in metres"}, &Timber::topM, AnyMetres),
              f.number({"bottom", Optional, "level of the bottom in metres"}, &Timber::bottomM, AnyMetres),
              f.number({"length", Optional, "length in metres"}, &Timber::lengthM, NoNegativeMetres),
              f.number({"diameter", Optional, "diameter in metres"}, &Timber::diameterM, NoNegativeMetres),
              f.number({"lean", Optional, "lean from the vertical in degrees"}, &Timber::leanDegrees, Lean),
              f.number({"lean_bearing", Optional, "bearing of the lean in degrees"},
                       &Timber::leanBearingDegrees, Bearing),
              f.number({"se", Optional, "standard error of the place in metres"}, &Timber::standardErrorM,
                       NoNegativeMetres)})
            fields.push_back(field);
        return fields;
    }();
    return Fields;
}

template<>
const std::vector<RegisterField<Photograph>>& registerFields<Photograph>()
{
    static const auto f = fieldsOf<Photograph>();
    static const std::vector<RegisterField<Photograph>> Fields = {
        f.text({"number", Required, "photograph number"}, &Photograph::number),
        f.text({"subject", Optional, "what it shows"}, &Photograph::subject),
        f.checked({"taken_on", Optional, DateWords}, &Photograph::takenOn, &isIsoDate)};
    return Fields;
}

template<>
const std::vector<RegisterField<PinLine>>& registerFields<PinLine>()
{
    static const FieldMaker<PinLine, MemberOf<&PinLine::pin>> f{{}};
    static const auto mark = [](auto& line) -> auto&
    {
        return line.pin.mark;
    };
    static const FieldMaker<PinLine, decltype(mark)> m(mark);
    static const std::vector<RegisterField<PinLine>> Fields = {
        fieldsOf<PinLine>().text({"drawing", Required, "drawing number"}, &PinLine::drawing),
        f.text({"peg", Required, "name of the peg"}, &Pin::peg),
        m.number({"column", Required, "column of the mark in pixels of the scan"}, &ScanPx::column, Pixels),
        m.number({"row", Required, "row of the mark in pixels of the scan"}, &ScanPx::row, Pixels),
        f.name({"use", Optional, "fit, check or out"}, &Pin::use),
        onDatumField(),
        f.number({"datum", Optional, "sections: datum in metres of the piece, if not the drawing's"},
                 &Pin::datumM, AnyMetres)};
    return Fields;
}

template<>
const std::vector<RegisterField<LevelReading>>& registerFields<LevelReading>()
{
    static const auto f = fieldsOf<LevelReading>();
    static const std::vector<RegisterField<LevelReading>> Fields = {
        f.text({"point", Required, "name of the point, as booked"}, &LevelReading::point),
        f.number({"backsight", Optional, "backsight in metres"}, &LevelReading::backsightM, Reading),
        f.number({"intermediate", Optional, "intermediate sight in metres"}, &LevelReading::intermediateM,
                 Reading),
        f.number({"foresight", Optional, "foresight in metres"}, &LevelReading::foresightM, Reading),
        f.number({"benchmark", Optional, "known level of the point in metres"}, &LevelReading::benchmarkM,
                 AnyMetres),
        f.number({"booked", Optional, "reduced level as worked out on site, in metres"},
                 &LevelReading::bookedM, AnyMetres),
        f.text({"note", Optional, "note"}, &LevelReading::note),
        f.text({"book", Optional, "name of the level book; none = the file's name"}, &LevelReading::book)};
    return Fields;
}

} // namespace inkpeg
