// SPDX-License-Identifier: GPL-3.0-or-later
// The print-ready plans and sections of a hand-over.
#include <algorithm>
#include <set>

#include "app/print/HandOver.h"
#include "core/checks/Tally.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/StagedFolder.h"

namespace inkpeg {

namespace {

class PageMaking {
public:
    PageMaking(const Project& project, const PlansOrder& order, const DrawnWork& work)
        : m_project(project), m_order(order), m_work(work)
    {
        const ProjectFacts facts = project.facts();
        m_words = {facts.siteCode, facts.title, facts.crs, facts.datum, handOverTime(project)};
    }

    /// One choice for each plan; the first is the one that was asked for.
    std::vector<PlanChoice> choices() const
    {
        std::vector<PlanChoice> all;
        if (m_order.overview)
            all.push_back(m_order.choice);
        if (m_order.eachPeriod)
            for (const auto& [trench, period] : trenchesAndPeriods()) {
                PlanChoice composite = m_order.choice;
                composite.trench = trench;
                composite.period = period;
                all.push_back(std::move(composite));
            }
        if (m_order.eachContext)
            for (const std::string& context : contextsChosen()) {
                PlanChoice single = m_order.choice;
                single.contexts = {context};
                all.push_back(std::move(single));
            }
        return all;
    }

    std::vector<std::string> sectionsChosen() const
    {
        const PlanChoice& choice = m_order.choice;
        if (!m_order.sections || !choice.contexts.empty() || !choice.period.empty())
            return {};
        std::vector<std::string> chosen;
        for (const std::string& number : drawnSections(m_work)) {
            const std::optional<Drawing> drawing = m_project.byKey<Drawing>(number);
            const bool named =
                choice.drawings.empty() ||
                std::find(choice.drawings.begin(), choice.drawings.end(), number) != choice.drawings.end();
            if (named && (choice.trench.empty() || (drawing && drawing->trench == choice.trench)))
                chosen.push_back(number);
        }
        return chosen;
    }

    Result<void> addPlan(const PlanChoice& choice, PlanPages& pages) const
    {
        SheetSettings settings = m_order.sheet;
        settings.verticalScaleDenominator.reset();
        return add(planContent(m_project, m_work, choice), settings, pages.plans, pages);
    }

    Result<void> addSection(const std::string& drawing, PlanPages& pages) const
    {
        return add(sectionContent(m_project, m_work, drawing), m_order.sheet, pages.sections, pages);
    }

private:
    /// A page that cannot be drawn is a remark, unless the order itself makes no sense.
    Result<void> add(const Result<SheetContent>& content, const SheetSettings& settings,
                     std::vector<PlanSheet>& into, PlanPages& pages) const
    {
        if (!content) {
            pages.remarks.push_back(content.error().message);
            return {};
        }
        Result<PlanSheet> sheet = planSheet(*content, m_words, settings);
        if (!sheet && sheet.error().code == ErrorCode::BadInput)
            return sheet.error();
        if (!sheet) {
            pages.remarks.push_back(sheet.error().message);
            return {};
        }
        if (!sheet->noRoom.empty())
            pages.remarks.push_back(content->title + ": " + std::to_string(sheet->noRoom.size()) +
                                    " numbers found no room; the sheet names them");
        into.push_back(std::move(sheet).value());
        return {};
    }

    std::vector<std::string> contextsChosen() const
    {
        const Result<SheetContent> content = planContent(m_project, m_work, m_order.choice);
        std::set<std::string> contexts;
        if (content)
            for (const OutlineRow& row : content->outlines)
                contexts.insert(row.outline.context);
        std::vector<std::string> sorted(contexts.begin(), contexts.end());
        std::sort(sorted.begin(), sorted.end(), comesBefore);
        return sorted;
    }

    std::set<std::pair<std::string, std::string>> trenchesAndPeriods() const
    {
        std::set<std::pair<std::string, std::string>> all;
        for (const std::string& number : contextsChosen())
            if (const std::optional<Context> context = m_project.byKey<Context>(number);
                context && !context->period.empty())
                all.insert({context->trench, context->period});
        return all;
    }

    const Project& m_project;
    const PlansOrder& m_order;
    const DrawnWork& m_work;
    SheetWords m_words;
};

std::vector<PageArt> artOf(const std::vector<PlanSheet>& sheets)
{
    std::vector<PageArt> art;
    for (const PlanSheet& sheet : sheets)
        art.push_back(sheet.art);
    return art;
}

} // namespace

Result<PlanPages> planPages(const Project& project, const PlansOrder& order, const Progress& progress)
{
    const Progress gathering = [&](double share) { return report(progress, share * 0.4); };
    const Result<GatheredWork> gathered = gatherDrawnWork(project, {}, gathering);
    if (!gathered)
        return gathered.error();
    const PageMaking making(project, order, gathered->work);
    // What was named and is nowhere is an error; what merely shows nothing on one of many pages is a remark.
    const PlanChoice& choice = order.choice;
    const bool sectionsOnly =
        !choice.drawings.empty() &&
        std::all_of(choice.drawings.begin(), choice.drawings.end(), [&](const auto& number) {
            const std::optional<Drawing> drawing = project.byKey<Drawing>(number);
            return drawing && isUpright(drawing->kind);
        });
    if (!sectionsOnly)
        if (const Result<SheetContent> asked = planContent(project, gathered->work, choice);
            !asked && (!choice.drawings.empty() || !choice.contexts.empty() || !choice.trench.empty() ||
                       !choice.period.empty()))
            return asked.error();
    PlanPages pages;
    const std::vector<PlanChoice> choices = sectionsOnly ? std::vector<PlanChoice>() : making.choices();
    const std::vector<std::string> sections = making.sectionsChosen();
    const double all = static_cast<double>(choices.size() + sections.size());
    double done = 0;
    for (const PlanChoice& one : choices) {
        if (const Result<void> added = making.addPlan(one, pages); !added)
            return added.error();
        if (!report(progress, 0.4 + 0.6 * ++done / all))
            return Error{ErrorCode::Cancelled, "the plans were stopped"};
    }
    for (const std::string& section : sections) {
        if (const Result<void> added = making.addSection(section, pages); !added)
            return added.error();
        if (!report(progress, 0.4 + 0.6 * ++done / all))
            return Error{ErrorCode::Cancelled, "the plans were stopped"};
    }
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return pages;
}

Result<std::vector<std::string>> writePlans(const Project& project, const PlansOrder& order,
                                            const std::filesystem::path& folder,
                                            std::vector<std::string>& remarks, const Progress& progress)
{
    const Result<PlanPages> pages = planPages(project, order, progress);
    if (!pages)
        return pages.error();
    remarks.insert(remarks.end(), pages->remarks.begin(), pages->remarks.end());
    const std::string at = handOverTime(project), site = project.facts().siteCode;
    std::vector<std::string> files;
    const auto write = [&](const std::string& name, const std::string& bytes) {
        files.push_back(name);
        return writeFile(folder / name, bytes);
    };
    std::set<std::string> taken;
    for (const auto& [name, title, sheets] :
         {std::tuple{"plans", " plans", &pages->plans}, {"sections", " sections", &pages->sections}}) {
        if (sheets->empty())
            continue;
        if (order.pdf)
            if (const auto written =
                    write(std::string(name) + ".pdf", artPdf(artOf(*sheets), site + title, at));
                !written)
                return written.error();
        for (std::size_t i = 0; order.svg && i < sheets->size(); ++i) {
            std::string file = safeFileName((*sheets)[i].art.title);
            while (!taken.insert(file).second)
                file += "_";
            if (const auto written =
                    write(std::string(name) + "-svg/" + file + ".svg", artSvg((*sheets)[i].art));
                !written)
                return written.error();
        }
    }
    return files;
}

std::string safeFileName(const std::string& text)
{
    constexpr std::size_t Longest = 80;
    const auto isLetterOrDigit = [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    };
    std::string name;
    for (const char c : text) {
        // A dot only within a word: no "..", none in front, which would hide the file.
        const bool dot = c == '.' && !name.empty() && isLetterOrDigit(name.back());
        if (isLetterOrDigit(c) || c == '-' || dot)
            name += c;
        else if (!name.ends_with('_'))
            name += '_';
        if (name.size() == Longest)
            break;
    }
    if (name.ends_with('.')) // no name on some systems
        name.back() = '_';
    return name.empty() || name == "_" ? "_" + name + "_" : name;
}

} // namespace inkpeg
