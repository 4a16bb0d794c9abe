// SPDX-License-Identifier: GPL-3.0-or-later
// What taking in a register would do, line by line, before anything is done.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/records/RegisterFields.h"
#include "core/store/RegisterImport.h"

namespace inkpeg {

using PlannedPut = std::function<Result<void>(Editor&)>;

struct RegisterPlan {
    std::vector<ImportLine> lines;
    std::vector<PlannedPut> puts;
    std::vector<std::string> remarks;
    bool stopped = false; ///< by whoever watches: the plan is not whole
};

/// What differs between the registers.
template<typename Line>
struct RegisterRules {
    std::unordered_map<std::string, Line> held; ///< by key
    std::function<std::string(const Line&)> key;
    /// Says what is wrong with the line, and completes it; `before` is what the project holds, or null.
    std::function<std::optional<std::string>(Line& line, const Line* before,
                                             std::vector<std::string>& remarks)>
        complete;
    std::function<Result<void>(Editor&, Line&)> put;
};

namespace detail {

/// Sets the fields of `line` from the cells that are there and not empty.
template<typename Line>
std::optional<std::string> applyCells(Line& line, const std::vector<std::string>& cells,
                                      const std::vector<std::optional<std::size_t>>& places,
                                      bool decimalComma)
{
    const auto& fields = registerFields<Line>();
    for (std::size_t i = 0; i < fields.size(); ++i) {
        const Cell cell{places[i] ? cellAsMeant(trimmed(cells[*places[i]])) : std::string(), decimalComma};
        if (cell.text.empty())
            continue;
        if (const auto problem = fields[i].read(line, cell))
            return fields[i].column.name + ": " + *problem;
    }
    return std::nullopt;
}

template<typename Line>
std::optional<std::string> missingCell(const std::vector<std::string>& cells,
                                       const std::vector<std::optional<std::size_t>>& places)
{
    const auto& fields = registerFields<Line>();
    for (std::size_t i = 0; i < fields.size(); ++i)
        if (fields[i].column.required && (!places[i] || trimmed(cells[*places[i]]).empty()))
            return fields[i].column.name + ": is empty; right would be " + fields[i].column.words;
    return std::nullopt;
}

/// The columns that differ, with what was and what comes; or that only the scan's content does.
template<typename Line>
std::string changesInWords(const Line& before, const Line& after)
{
    std::string words;
    for (const RegisterField<Line>& field : registerFields<Line>()) {
        const std::string was = field.write(before);
        const std::string is = field.write(after);
        if (was != is)
            words +=
                (words.empty() ? "" : "; ") + field.column.name + " \"" + was + "\" becomes \"" + is + "\"";
    }
    return words.empty() ? "what it leads to has changed" : words;
}

} // namespace detail

/// Plans every row of a table. Errors are lines of the plan, none of the whole; `progress` may stop it.
template<typename Line>
RegisterPlan planRegister(const CsvTable& table, const std::vector<std::optional<std::size_t>>& places,
                          const RegisterRules<Line>& rules, const Progress& progress)
{
    RegisterPlan plan;
    std::unordered_map<std::string, int> lineOfKey;
    const bool decimalComma = table.reading.separator == ';';
    for (const CsvRow& row : table.rows) {
        if (!report(progress, double(plan.lines.size()) / double(table.rows.size()))) {
            plan.stopped = true;
            return plan;
        }
        ImportLine& planned = plan.lines.emplace_back();
        planned.line = row.line;
        const auto refuse = [&](const std::string& what) {
            planned.outcome = ImportOutcome::Refused;
            planned.message = what;
        };
        if (row.fields.size() != table.columns.size()) {
            refuse(std::to_string(row.fields.size()) + " fields, the header has " +
                   std::to_string(table.columns.size()));
            continue;
        }
        Line line;
        const auto unreadable = detail::applyCells(line, row.fields, places, decimalComma);
        planned.number = rules.key(line);
        const auto held = rules.held.find(planned.number);
        const Line* before = held == rules.held.end() ? nullptr : &held->second;
        if (before) {
            line = *before;
            (void)detail::applyCells(line, row.fields, places, decimalComma);
        }
        if (unreadable) {
            refuse(*unreadable);
        } else if (const auto missing =
                       before ? std::nullopt : detail::missingCell<Line>(row.fields, places)) {
            refuse(*missing);
        } else if (const auto [first, isNew] = lineOfKey.emplace(planned.number, row.line); !isNew) {
            refuse("the same number is on line " + std::to_string(first->second) + " already");
        } else if (const auto problem = rules.complete(line, before, plan.remarks)) {
            refuse(*problem);
        } else if (before && line == *before) {
            planned.outcome = ImportOutcome::Unchanged;
        } else {
            planned.outcome = before ? ImportOutcome::Changed : ImportOutcome::Added;
            planned.message = before ? detail::changesInWords(*before, line) : std::string();
            plan.puts.push_back([put = rules.put, line](Editor& edit) mutable { return put(edit, line); });
        }
    }
    return plan;
}

} // namespace inkpeg
