// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Schema.h"

#include <set>

#include <QTest>

using namespace inkpeg;

namespace {

Part partOf(std::vector<EdgeKind> kinds)
{
    Ring ring;
    ring.kinds = std::move(kinds);
    for (std::size_t i = 0; i < ring.kinds.size(); ++i)
        ring.vertices.push_back({static_cast<double>(i), static_cast<double>(i * i)});
    return {ring, {}};
}

} // namespace

class SchemaTest final : public QObject {
    Q_OBJECT

private slots:
    void everyColumnIsNamedOnceAndExplained()
    {
        std::set<std::string> tables;
        for (const Table* table : allTables()) {
            QVERIFY2(tables.insert(table->name).second, table->name.c_str());
            QVERIFY(!table->title.empty() && table->words.ends_with('.'));
            QCOMPARE(table->columns.front().name, std::string("id"));
            std::set<std::string> columns;
            int shapes = 0;
            for (const Column& column : table->columns) {
                QVERIFY2(columns.insert(column.name).second, column.name.c_str());
                QVERIFY2(!column.words.empty(), column.name.c_str());
                shapes += column.type == ColumnType::Shape ? 1 : 0;
            }
            QVERIFY(shapes <= 1); // OGC 12-128r17, requirement 30: one geometry column a table
        }
        QCOMPARE(tables.size(), std::tuple_size_v<RecordTypes>);
    }

    void valuesAnswerTheirColumns()
    {
        Timber timber;
        timber.id = 7;
        timber.number = "T7";
        timber.position = GroundM{553'001.25, 6'100'002.5};
        timber.leanDegrees = 4;
        const Table& table = tableOf<Timber>();
        const std::vector<Value> row = rowOf(timber);
        QCOMPARE(row.size(), table.columns.size());
        for (std::size_t i = 0; i < row.size(); ++i) {
            const Column& column = table.columns[i];
            if (column.name == "number")
                QCOMPARE(std::get<std::string>(row[i]), std::string("T7"));
            else if (column.name == "lean")
                QCOMPARE(std::get<double>(row[i]), 4.0);
            else if (column.name == "top")
                QVERIFY(std::holds_alternative<std::monostate>(row[i]));
            else if (column.name == "geom")
                QVERIFY((std::get<Geometry>(row[i]).vertices ==
                         std::vector<Coordinate>{{553'001.25, 6'100'002.5}}));
        }
        QVERIFY(*recordOf<Timber>(row) == timber);
    }

    void edgeKindsAreRunLengths()
    {
        using enum EdgeKind;
        Outline outline;
        outline.parts = {partOf({Certain, Certain, Uncertain, Certain}),
                         partOf({LimitOfExcavation, LimitOfExcavation, BeyondTheSheet})};
        outline.parts[0].holes.push_back(partOf({Truncated, Truncated, Truncated}).outer);
        QCOMPARE(edgeKindsText(outline.parts),
                 std::string("2 certain, 1 uncertain, 1 certain; 3 truncated; 2 limit of excavation, 1 "
                             "beyond the sheet"));
        QVERIFY(*recordOf<Outline>(rowOf(outline)) == outline);
    }

    void wrongEdgeKindsAreRefused_data()
    {
        QTest::addColumn<QString>("text");
        for (const char* text : {"", "2 certain", "4 certain", "3 certain; 3 certain", "3 sure",
                                 "-3 certain", "x certain", "3", "99999999999 certain"})
            QTest::newRow(*text ? text : "none") << QString(text);
    }
    void wrongEdgeKindsAreRefused()
    {
        QFETCH(QString, text);
        Outline outline;
        outline.parts = {partOf({EdgeKind::Certain, EdgeKind::Certain, EdgeKind::Certain})};
        std::vector<Value> row = rowOf(outline);
        for (std::size_t i = 0; i < row.size(); ++i)
            if (tableOf<Outline>().columns[i].name == "edge_kinds")
                row[i] = text.toStdString();
        const auto read = recordOf<Outline>(row);
        QVERIFY(!read);
        QVERIFY2(read.error().message.starts_with("outlines.edge_kinds"), read.error().message.c_str());
    }

    void anUnknownNameIsRefused()
    {
        Drawing drawing;
        std::vector<Value> row = rowOf(drawing);
        row[2] = std::string("map");
        const auto read = recordOf<Drawing>(row);
        QVERIFY(!read);
        QVERIFY2(read.error().message.find("plan, section, elevation, profile") != std::string::npos,
                 read.error().message.c_str());
    }

    void namesAgreeWithTheLayersBelow()
    {
        for (std::size_t i = 0; i < NamesOf<Model>::Names.size(); ++i)
            QCOMPARE(nameOf(static_cast<Model>(i)), modelName(static_cast<Model>(i)));
        for (std::size_t i = 0; i < NamesOf<EdgeKind>::Names.size(); ++i)
            QCOMPARE(nameOf(static_cast<EdgeKind>(i)), edgeKindName(static_cast<EdgeKind>(i)));
        QCOMPARE(named<Stage>(" Signed Off "), std::optional(Stage::SignedOff));
        QVERIFY(!named<Stage>("done"));
    }
};

QTEST_GUILESS_MAIN(SchemaTest)
#include "SchemaTest.moc"
