// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SiteDatabase.h"

#include <algorithm>
#include <memory>

#include <cpl_conv.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "core/base/Text.h"
#include "core/handover/GdalQuiet.h"
#include "core/handover/OgrGeometry.h"
#include "core/handover/SiteTable.h"

namespace inkpeg {

namespace {

bool isPlainName(const std::string& name)
{
    return !name.empty() && name.size() <= 63 && std::all_of(name.begin(), name.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
    });
}

/// One connection and its transaction; taken back unless committed.
class Connection {
public:
    static Result<std::unique_ptr<Connection>> open(const DatabaseSettings& settings)
    {
        GDALAllRegister();
        const GdalQuiet quiet;
        CPLStringList options;
        if (!settings.password.empty())
            options.SetNameValue("PASSWORD", settings.password.c_str());
        // Its own tables are made and read by statements; looking through all others would cost seconds.
        options.SetNameValue("TABLES", "inkpeg_none");
        const char* const drivers[] = {"PostgreSQL", nullptr};
        const std::string name = "PG:service='" + settings.service + "'";
        GDALDataset* dataset =
            GDALDataset::Open(name.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, drivers, options.List());
        if (dataset == nullptr)
            return Error{ErrorCode::NotFound, "the database service \"" + settings.service +
                                                  "\": " + without(settings.password, quiet.words())};
        auto connection = std::unique_ptr<Connection>(new Connection(dataset, settings.password));
        if (dataset->StartTransaction() != OGRERR_NONE)
            return Error{ErrorCode::System, "the database: " + quiet.words()};
        return connection;
    }

    ~Connection()
    {
        const GdalQuiet quiet;
        if (!m_committed)
            m_dataset->RollbackTransaction();
        GDALClose(m_dataset);
    }
    Connection(const Connection&) = delete;
    Connection& operator=(const Connection&) = delete;

    Result<void> run(const std::string& statement)
    {
        const GdalQuiet quiet;
        if (OGRLayer* rows = m_dataset->ExecuteSQL(statement.c_str(), nullptr, nullptr))
            m_dataset->ReleaseResultSet(rows);
        return quiet.failed() ? Result<void>(refused(quiet)) : Result<void>();
    }

    /// Each row's columns as text.
    Result<std::vector<std::vector<std::string>>> ask(const std::string& query)
    {
        const GdalQuiet quiet;
        OGRLayer* rows = m_dataset->ExecuteSQL(query.c_str(), nullptr, nullptr);
        std::vector<std::vector<std::string>> found;
        if (rows != nullptr) {
            for (OGRFeatureUniquePtr row(rows->GetNextFeature()); row; row.reset(rows->GetNextFeature())) {
                std::vector<std::string> texts;
                for (int i = 0; i < row->GetFieldCount(); ++i)
                    texts.emplace_back(row->GetFieldAsString(i));
                found.push_back(std::move(texts));
            }
            m_dataset->ReleaseResultSet(rows);
        }
        if (quiet.failed())
            return refused(quiet);
        return found;
    }

    /// Fills a table of this session from a layer, by COPY.
    Result<void> stage(const FeatureLayer& layer, const SiteTable& table);

    Result<void> commit()
    {
        const GdalQuiet quiet;
        if (m_dataset->CommitTransaction() != OGRERR_NONE)
            return refused(quiet);
        m_committed = true;
        return {};
    }

private:
    Connection(GDALDataset* dataset, std::string password)
        : m_dataset(dataset), m_password(std::move(password))
    {
    }

    static std::string without(const std::string& password, std::string words)
    {
        for (std::size_t at = password.empty() ? std::string::npos : words.find(password);
             at != std::string::npos; at = words.find(password))
            words.replace(at, password.size(), "(password)");
        return words;
    }

    Error refused(const GdalQuiet& quiet) const
    {
        return {ErrorCode::System, "the database: " + without(m_password, quiet.words())};
    }

    GDALDataset* m_dataset;
    std::string m_password;
    bool m_committed = false;
};

std::string hexadecimal(const OGRGeometry& geometry)
{
    const auto size = static_cast<std::size_t>(geometry.WkbSize());
    std::vector<unsigned char> bytes(size);
    geometry.exportToWkb(wkbNDR, bytes.data(), wkbVariantIso);
    static constexpr char Digits[] = "0123456789abcdef";
    std::string text;
    text.reserve(2 * size);
    for (const unsigned char byte : bytes) {
        text += Digits[byte >> 4U];
        text += Digits[byte & 15U];
    }
    return text;
}

Result<void> Connection::stage(const FeatureLayer& layer, const SiteTable& table)
{
    const GdalQuiet quiet;
    CPLConfigOptionSetter copy("PG_USE_COPY", "YES", false);
    CPLStringList options;
    options.SetNameValue("TEMPORARY", "YES");
    options.SetNameValue("LAUNDER", "NO");
    OGRLayer* staged =
        m_dataset->CreateLayer(table.stagingName().c_str(), nullptr, wkbNone, options.List());
    if (staged == nullptr)
        return refused(quiet);
    for (const auto& [name, type] : table.stagingColumns()) {
        OGRFieldDefn definition(name.c_str(), type == FieldType::Text    ? OFTString
                                              : type == FieldType::Whole ? OFTInteger64
                                                                         : OFTReal);
        if (staged->CreateField(&definition) != OGRERR_NONE)
            return refused(quiet);
    }
    const std::vector<std::string> numbers = recordNumbers(layer);
    for (std::size_t row = 0; row < layer.features.size(); ++row) {
        const Feature& feature = layer.features[row];
        OGRFeature written(staged->GetLayerDefn());
        written.SetField(0, numbers[row].c_str());
        if (const std::unique_ptr<OGRGeometry> geometry = ogrGeometry(feature.geometry))
            written.SetField(1, hexadecimal(*geometry).c_str());
        setFields(feature.values, 2, written);
        if (staged->CreateFeature(&written) != OGRERR_NONE)
            return refused(quiet);
    }
    if (staged->SyncToDisk() != OGRERR_NONE || quiet.failed())
        return refused(quiet);
    return {};
}

Result<void> prepareDatabase(Connection& connection, const std::string& schema)
{
    const auto extension = connection.ask("SELECT count(*) FROM pg_extension WHERE extname = 'postgis'");
    if (!extension)
        return extension.error();
    if (extension->empty() || extension->front().front() == "0")
        if (const Result<void> made = connection.run("CREATE EXTENSION postgis"); !made)
            return Error{ErrorCode::System,
                         "the database has no PostGIS and this account may not add it; let its keeper run "
                         "CREATE EXTENSION postgis (" +
                             made.error().message + ")"};
    if (const Result<void> made = connection.run("CREATE SCHEMA IF NOT EXISTS \"" + schema + "\""); !made)
        return made;
    // Two who push at once do so one after the other.
    return connection.run("SELECT pg_advisory_xact_lock(hashtext('inkpeg " + schema + "'))");
}

std::size_t number(const std::string& text)
{
    return static_cast<std::size_t>(parseWhole(text).value_or(0));
}

Result<void> pushLayer(Connection& connection, const FeatureLayer& layer, const SiteTable& table,
                       bool overwrite, PushReport& report)
{
    if (const Result<void> made = connection.run(table.making()); !made)
        return made;
    if (const Result<void> staged = connection.stage(layer, table); !staged)
        return staged;
    if (const Result<void> done = connection.run(table.comparing()); !done)
        return done;
    const auto counts = connection.ask(table.counting());
    if (!counts)
        return counts.error();
    const std::vector<std::string>& row = counts->front();
    report.tables.push_back({layer.schema.name, number(row[0]), number(row[1]), number(row[2]),
                             number(row[3]), number(row[4])});
    if (report.tables.back().conflicting > 0) {
        const auto conflicts = connection.ask(table.conflicting());
        if (!conflicts)
            return conflicts.error();
        for (const std::vector<std::string>& conflict : *conflicts)
            report.conflicts.push_back({layer.schema.name, conflict[0], conflict[1]});
    }
    if (const Result<void> done = connection.run(table.upserting(overwrite)); !done)
        return done;
    const std::string index = table.indexing();
    return index.empty() ? Result<void>() : connection.run(index);
}

} // namespace

TablePush PushReport::sum() const
{
    TablePush all;
    for (const TablePush& table : tables) {
        all.added += table.added;
        all.changed += table.changed;
        all.same += table.same;
        all.conflicting += table.conflicting;
        all.gone += table.gone;
    }
    return all;
}

Result<PushReport> pushLayers(const std::vector<FeatureLayer>& layers, const std::string& siteCode,
                              const std::string& crs, const std::string& at,
                              const DatabaseSettings& settings, const Progress& progress)
{
    if (trimmed(siteCode).empty())
        return Error{ErrorCode::BadInput,
                     "the project has no site code: without one its records could not be "
                     "told from another site's"};
    for (const auto& [what, name] : {std::pair{"service", settings.service}, {"schema", settings.schema}})
        if (!isPlainName(name))
            return Error{ErrorCode::BadInput, std::string("the ") + what + " \"" + name +
                                                  "\" is no plain name; use letters, digits and low lines"};
    Result<std::unique_ptr<Connection>> connection = Connection::open(settings);
    if (!connection)
        return connection.error();
    if (const Result<void> ready = prepareDatabase(**connection, settings.schema); !ready)
        return ready.error();
    PushReport report;
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const SiteTable table(layers[i].schema, settings.schema, siteCode, crs, at);
        if (const Result<void> pushed =
                pushLayer(**connection, layers[i], table, settings.overwrite, report);
            !pushed)
            return Error{pushed.error().code, layers[i].schema.name + ": " + pushed.error().message};
        if (!inkpeg::report(progress, static_cast<double>(i + 1) / static_cast<double>(layers.size())))
            return Error{ErrorCode::Cancelled, "the push was stopped; the database is as it was"};
    }
    if (settings.dryRun)
        return report;
    if (const Result<void> done = (*connection)->commit(); !done)
        return done.error();
    report.committed = true;
    return report;
}

bool wantsPassword(const Error& error)
{
    return error.message.find("no password supplied") != std::string::npos;
}

} // namespace inkpeg
