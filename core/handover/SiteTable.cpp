// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SiteTable.h"

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// PostgreSQL 15, 4.1.2.1: a quote is doubled; with standard_conforming_strings nothing else is special.
std::string quoted(const std::string& text)
{
    std::string safe = "'";
    for (const char c : text)
        safe.append(c == '\'' ? 2U : 1U, c);
    return safe + "'";
}

const char* typeName(FieldType type)
{
    return type == FieldType::Text ? "text" : type == FieldType::Whole ? "bigint" : "double precision";
}

} // namespace

SiteTable::SiteTable(const LayerSchema& layer, const std::string& schema, const std::string& siteCode,
                     const std::string& crs, const std::string& at)
    : m_layer(layer), m_table("\"" + schema + "\".\"" + layer.name + "\""), m_site(quoted(siteCode)),
      m_at(quoted(at)), m_new("inkpeg_new_" + layer.name), m_old("inkpeg_old_" + layer.name)
{
    const std::size_t colon = crs.find(':');
    if (layer.space == LayerSpace::Ground && colon != std::string::npos && crs.starts_with("EPSG:"))
        m_srid = static_cast<int>(parseWhole(crs.substr(colon + 1)).value_or(0));
}

std::vector<std::pair<std::string, FieldType>> SiteTable::stagingColumns() const
{
    std::vector<std::pair<std::string, FieldType>> columns = {{"record_number", FieldType::Text},
                                                              {"geometry_hex", FieldType::Text}};
    for (const FieldSchema& field : m_layer.fields)
        columns.emplace_back("f_" + field.name, field.type); // no name may clash with the two above
    return columns;
}

/// Every column of the record with text before and after its quoted name, commas between.
std::string SiteTable::fields(const std::string& before, const std::string& after) const
{
    std::string list;
    for (const FieldSchema& field : m_layer.fields)
        list += before + "\"" + field.name + "\"" + after + ", ";
    return list + before + "\"geometry\"" + after;
}

std::string SiteTable::digest(const std::string& of) const
{
    std::string list;
    for (const FieldSchema& field : m_layer.fields)
        list += of + ".\"" + field.name + "\", ";
    return "md5(ROW(" + list + "encode(ST_AsEWKB(" + of + ".\"geometry\"), 'hex'))::text)";
}

std::string SiteTable::making() const
{
    std::string text =
        "CREATE TABLE IF NOT EXISTS " + m_table +
        " (\"site_code\" text NOT NULL, \"record_number\" text NOT NULL, \"geometry\" geometry, "
        "\"pushed_digest\" text, \"pushed_state\" text, PRIMARY KEY (\"site_code\", "
        "\"record_number\")); ALTER TABLE " +
        m_table;
    for (std::size_t i = 0; i < m_layer.fields.size(); ++i)
        text += std::string(i > 0 ? "," : "") + " ADD COLUMN IF NOT EXISTS \"" + m_layer.fields[i].name +
                "\" " + typeName(m_layer.fields[i].type);
    text += "; COMMENT ON TABLE " + m_table + " IS " + quoted(m_layer.meaning);
    for (const FieldSchema& field : m_layer.fields)
        text += "; COMMENT ON COLUMN " + m_table + ".\"" + field.name + "\" IS " + quoted(field.meaning);
    return text;
}

std::string SiteTable::indexing() const
{
    return m_layer.geometry == GeometryKind::None
               ? std::string()
               : "CREATE INDEX IF NOT EXISTS \"" + m_layer.name + "_place\" ON " + m_table +
                     " USING gist (\"geometry\")";
}

std::string SiteTable::comparing() const
{
    std::string columns;
    for (const FieldSchema& field : m_layer.fields)
        columns += "\"f_" + field.name + "\" AS \"" + field.name + "\", ";
    return "CREATE TEMPORARY TABLE " + m_new + " ON COMMIT DROP AS SELECT n.*, " + digest("n") +
           " AS digest FROM (SELECT record_number, " + columns +
           "ST_SetSRID(ST_GeomFromWKB(decode(geometry_hex, 'hex')), " + std::to_string(m_srid) +
           ") AS \"geometry\" FROM \"" + stagingName() + "\") AS n; CREATE TEMPORARY TABLE " + m_old +
           " ON COMMIT DROP AS SELECT record_number, pushed_digest AS pushed, " + digest("t") +
           " AS present FROM " + m_table + " AS t WHERE site_code = " + m_site + "; ANALYZE " + m_new +
           "; ANALYZE " + m_old + "; DROP TABLE \"" + stagingName() + "\"";
}

std::string SiteTable::join() const
{
    return " FROM " + m_new + " AS n FULL JOIN " + m_old + " AS o USING (record_number)";
}

std::string SiteTable::counting() const
{
    // Each column has its name: OGR finds columns by it.
    return "SELECT count(*) FILTER (WHERE o.present IS NULL) AS added, "
           "count(*) FILTER (WHERE n.digest <> o.present AND o.pushed = o.present) AS changed, "
           "count(*) FILTER (WHERE n.digest = o.present) AS same, "
           "count(*) FILTER (WHERE n.digest <> o.present AND o.pushed IS DISTINCT FROM o.present) "
           "AS clashing, "
           "count(*) FILTER (WHERE n.digest IS NULL) AS gone" +
           join();
}

std::string SiteTable::conflicting() const
{
    return "SELECT n.record_number, (SELECT string_agg(mine.key, ', ' ORDER BY mine.key) FROM "
           "jsonb_each_text(to_jsonb(n)) AS mine JOIN jsonb_each_text(to_jsonb(t)) AS theirs USING (key) "
           "WHERE mine.value IS DISTINCT FROM theirs.value) AS fields FROM " +
           m_new + " AS n JOIN " + m_old + " AS o USING (record_number) JOIN " + m_table +
           " AS t ON t.site_code = " + m_site +
           " AND t.record_number = n.record_number WHERE n.digest <> o.present AND o.pushed IS "
           "DISTINCT FROM o.present ORDER BY 1";
}

std::string SiteTable::upserting(bool overwrite) const
{
    std::string assignments;
    for (const FieldSchema& field : m_layer.fields)
        assignments += "\"" + field.name + "\" = EXCLUDED.\"" + field.name + "\", ";
    return "INSERT INTO " + m_table + " (site_code, record_number, " + fields("") +
           ", pushed_digest, pushed_state) SELECT " + m_site + ", n.record_number, " + fields("n.") +
           ", n.digest, " + m_at + " FROM " + m_new + " AS n LEFT JOIN " + m_old +
           " AS o USING (record_number) WHERE o.present IS NULL OR (n.digest <> o.present" +
           (overwrite ? "" : " AND o.pushed = o.present") +
           ") ON CONFLICT (site_code, record_number) DO UPDATE SET " + assignments +
           "\"geometry\" = EXCLUDED.\"geometry\", pushed_digest = EXCLUDED.pushed_digest, pushed_state = "
           "EXCLUDED.pushed_state";
}

} // namespace inkpeg
