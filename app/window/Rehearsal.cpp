// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Rehearsal.h"

#include <system_error>

namespace inkpeg {
namespace {

std::filesystem::path besides(const std::filesystem::path& file, const char* ending)
{
    std::filesystem::path named = file;
    named += ending;
    return named;
}

} // namespace

Rehearsal::Rehearsal(std::filesystem::path file, Project project)
    : m_file(std::move(file)), m_project(std::make_unique<Project>(std::move(project)))
{
}

void Rehearsal::remove(const std::filesystem::path& file)
{
    std::error_code gone;
    for (const char* ending : {"", "-wal", "-shm", "-lock"})
        std::filesystem::remove(besides(file, ending), gone);
}

Result<Rehearsal> Rehearsal::of(const std::filesystem::path& from)
{
    const std::filesystem::path to = from.parent_path() / ("." + from.stem().string() + "-rehearsal.gpkg");
    remove(to); // of a run that was cut off
    // What was committed last may still stand in the write-ahead log alone, so that goes along.
    for (const char* part : {"", "-wal"}) {
        std::error_code trouble;
        if (*part && !std::filesystem::exists(besides(from, part), trouble))
            continue;
        std::filesystem::copy_file(besides(from, part), besides(to, part), trouble);
        if (trouble) {
            remove(to);
            const bool full = trouble == std::errc::no_space_on_device;
            return Error{full ? ErrorCode::OutOfSpace : ErrorCode::System,
                         to.string() + ": the copy to try the registers on cannot be written (" +
                             trouble.message() + ")"};
        }
    }
    Result<Project> copy = Project::open(to, Access::Write);
    if (!copy) {
        remove(to);
        return copy.error();
    }
    return Rehearsal(to, std::move(copy.value()));
}

Rehearsal::~Rehearsal()
{
    if (!m_project)
        return;
    m_project.reset();
    remove(m_file);
}

} // namespace inkpeg
