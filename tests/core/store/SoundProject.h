// SPDX-License-Identifier: GPL-3.0-or-later
// The sound site (tests/core/checks/SoundSite.h) as a project file.
#pragma once

#include <filesystem>
#include <stdexcept>

#include "core/store/Project.h"
#include "tests/core/checks/SoundSite.h"

namespace inkpeg {

/// Puts the records of the sound site into a project file, signed by nobody yet; drawings are traced.
inline Result<void> storeRecords(Project& project, ProjectRecords records)
{
    const auto putAll = [](Editor& edit, auto& list) -> Result<void> {
        for (auto& record : list) {
            record.id = 0;
            if (const Result<void> put = edit.put(record); !put)
                return put;
        }
        return {};
    };
    const Result<Change> change = project.act("fill", [&](Editor& edit) -> Result<void> {
        for (Drawing& drawing : records.drawings)
            drawing.stage = Stage::Traced;
        for (Context& context : records.contexts)
            context.stage = Stage::Listed;
        for (Sheet& sheet : records.sheets)
            sheet.scanFile.clear(); // the scans are not part of this test
        // The sound site gives the section's pegs as (distance, level); surveyed they lie in a line with
        // levels.
        for (Peg& peg : records.pegs)
            if (peg.name.starts_with("S-1")) {
                peg.levelM = peg.position.north;
                peg.position.north = 52;
            }
        for (const Result<void>& put :
             {putAll(edit, records.people), putAll(edit, records.trenches), putAll(edit, records.sheets),
              putAll(edit, records.drawings), putAll(edit, records.pegs), putAll(edit, records.contexts),
              putAll(edit, records.relations), putAll(edit, records.finds), putAll(edit, records.samples),
              putAll(edit, records.timbers)})
            if (!put)
                return put;
        // Row ids of drawings start at 1 in a new file, as they do in the sound site.
        for (const Result<void>& put : {putAll(edit, records.pins), putAll(edit, records.outlines)})
            if (!put)
                return put;
        return {};
    });
    return change ? Result<void>() : Result<void>(change.error());
}

/// A new project at `file` with the sound site in it; CD is at the keyboard.
inline Project soundProject(const std::filesystem::path& file, ProjectRecords records = SoundSite().records)
{
    ProjectFacts facts;
    facts.siteCode = "SKR26";
    facts.title = "Skelder Rigg";
    Project project = Project::create(file, facts).value();
    project.setPerson("CD");
    if (const Result<void> stored = storeRecords(project, std::move(records)); !stored)
        throw std::runtime_error(stored.error().message);
    return project;
}

} // namespace inkpeg
