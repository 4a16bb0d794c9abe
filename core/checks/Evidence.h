// SPDX-License-Identifier: GPL-3.0-or-later
// What all checks share: the records with look-ups by number and id, built once, and the sequence they add
// up to.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "core/checks/Matter.h"
#include "core/checks/ProjectRecords.h"
#include "core/checks/Stratigraphy.h"

namespace inkpeg {

class PlanAreas;
struct PlanAgainstSection;
struct Link;

/// A find, sample or timber as the checks see it: what they have in common.
struct Placed {
    PointKind kind = PointKind::Find;
    std::string_view number;
    std::string_view context;
    std::string_view trench;
    std::string_view material; ///< of a find; the kind of a sample or timber
    std::optional<GroundM> position;
    std::optional<double> levelM;
    double standardErrorM = 0;
};

/// "find", "sample", "timber", "note".
std::string pointKindName(PointKind kind);

/// All finds, then samples, then timbers. The text is that of `records`, which must outlive the result.
std::vector<Placed> placedOf(const ProjectRecords& records);

/// Index lists grouped by a key.
template<typename Key>
using Grouped = std::unordered_map<Key, std::vector<std::size_t>>;

/// Not copied; lends from the records it was made from, which must outlive it.
class Evidence {
public:
    explicit Evidence(const ProjectRecords& records);
    ~Evidence();
    Evidence(const Evidence&) = delete;
    Evidence& operator=(const Evidence&) = delete;

    const ProjectRecords& records;

    const Context* context(const std::string& number) const;
    const Drawing* drawing(std::int64_t id) const;
    const Drawing* drawingNumbered(const std::string& number) const;
    const Trench* trench(const std::string& name) const;
    const Sheet* sheet(const std::string& number) const;
    const DrawingPlace* place(std::int64_t drawing) const;
    bool drawingFits(std::int64_t drawing) const; ///< within tolerance (ProjectRecords.h, fits)
    bool knowsPerson(const std::string& initials) const;

    std::span<const std::size_t> outlinesOf(const std::string& context) const; ///< into records.outlines
    std::span<const std::size_t> outlinesOn(std::int64_t drawing) const;       ///< into records.outlines
    std::span<const std::size_t> pinsOn(std::int64_t drawing) const;           ///< into records.pins
    /// Null unless its drawing fits.
    const OutlineOnGround* onGround(std::size_t outline) const;

    const Stratigraphy& sequence() const { return m_sequence; }
    Reach& reach();
    /// The plan outlines as areas, made when first asked for.
    const PlanAreas& areas();
    /// Finds, samples and timbers, and their links to outlines, made when first asked for.
    const std::vector<Placed>& placed();
    const std::vector<Link>& links();

    /// Plans held against sections, when first asked for.
    const PlanAgainstSection& planAgainstSection();

    /// A place to look at for a context: a drawing where it is outlined, and a position there.
    void showContext(const std::string& number, Matter& matter) const;
    void showOutline(std::size_t outline, Matter& matter) const;

private:
    std::unordered_map<std::string, const Context*> m_contexts;
    std::unordered_map<std::int64_t, const Drawing*> m_drawings;
    std::unordered_map<std::string, const Drawing*> m_drawingsByNumber;
    std::unordered_map<std::string, const Trench*> m_trenches;
    std::unordered_map<std::string, const Sheet*> m_sheets;
    std::unordered_map<std::string, const Person*> m_people;
    Grouped<std::string> m_outlinesOf;
    Grouped<std::int64_t> m_outlinesOn, m_pinsOn;
    std::vector<const OutlineOnGround*> m_onGround;
    Stratigraphy m_sequence;
    std::unique_ptr<Reach> m_reach;
    std::unique_ptr<PlanAreas> m_areas;
    std::unique_ptr<PlanAgainstSection> m_planAgainstSection;
    std::unique_ptr<std::vector<Placed>> m_placed;
    std::unique_ptr<std::vector<Link>> m_links;
};

/// Collects what one check finds.
class Report {
public:
    Report(std::string check, Severity severity, std::vector<Matter>& matters)
        : m_check(std::move(check)), m_severity(severity), m_matters(matters)
    {
    }

    /// A new matter with check, severity and subject filled in. The reference holds until the next call.
    Matter& add(std::string subjectKind, std::string subject, std::string words, std::string whatToDo);

    Matter& about(const Drawing& drawing, std::string words, std::string whatToDo);
    Matter& about(const Context& context, const Evidence& evidence, std::string words,
                  std::string whatToDo);
    Matter& about(const Placed& placed, std::string words, std::string whatToDo);

private:
    std::string m_check;
    Severity m_severity;
    std::vector<Matter>& m_matters;
};

} // namespace inkpeg
