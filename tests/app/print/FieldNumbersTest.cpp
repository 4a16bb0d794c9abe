// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/FieldNumbers.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>

#include <QTemporaryDir>
#include <QTest>

#include "core/handover/FeatureLayers.h"
#include "tests/core/handover/DemoProject.h"

using namespace inkpeg;

class FieldNumbersTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_demo;
    DrawnWork m_demoWork;

    static PlanSheet sheetOf(const SheetContent& content, const SheetSettings& settings)
    {
        const Result<PlanSheet> sheet =
            planSheet(content, {"SKR26", "Skelder Rigg", "EPSG:25832", "DHHN2016", "2026-07-01"}, settings);
        if (!sheet)
            qFatal("%s", sheet.error().message.c_str());
        return *sheet;
    }

    /// A regular outline of so many corners about a place.
    static OutlineRow roundOutline(const char* context, const char* kind, GroundM middle, double radiusM,
                                   int corners = 24)
    {
        OutlineRow row;
        row.outline.context = context;
        row.contextKind = kind;
        VertexPart& part = row.parts.emplace_back();
        for (int k = 0; k < corners; ++k) {
            const double angle = 2 * 3.14159265358979 * k / corners;
            part.outer.push_back(
                {{middle.east + radiusM * std::cos(angle), middle.north + radiusM * std::sin(angle)},
                 {},
                 EdgeKind::Certain});
        }
        return row;
    }

    static const ArtText* textOf(const PlanSheet& sheet, const std::string& words)
    {
        for (const ArtPiece& piece : sheet.art.pieces)
            if (const auto* text = std::get_if<ArtText>(&piece); text != nullptr && text->words == words)
                return text;
        return nullptr;
    }

    /// Where a number points to: the end of its leader, else itself.
    static PageMm pointedAt(const PlanSheet& sheet, const std::string& words)
    {
        const ArtText* text = textOf(sheet, words);
        if (text == nullptr)
            return {-1e9, -1e9};
        const PageMm centre{text->at.x, text->at.y - text->sizeMm * 0.36};
        for (const ArtPiece& piece : sheet.art.pieces)
            if (const auto* line = std::get_if<ArtLine>(&piece);
                line != nullptr && line->at.size() == 2 && line->pen.widthMm == LeaderPen.widthMm &&
                line->pen.ink == LeaderPen.ink &&
                std::hypot(line->at[1].x - centre.x, line->at[1].y - centre.y) <
                    artTextWidthMm(words, text->sizeMm, text->bold) / 2 + 0.1)
                return line->at[0];
        return centre;
    }

private slots:
    void initTestCase()
    {
        m_demo.emplace(demoproject::make(m_folder.filePath("demo.gpkg").toStdString()));
        m_demoWork = gatherDrawnWork(*m_demo)->work;
    }

    // Random crowds of numbers: none overlaps another or leaves the field; what finds no room is named.
    void numbersNeverCollide()
    {
        const unsigned seed = std::random_device()();
        qInfo("seed %u", seed);
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> share(0, 1);
        for (int trial = 0; trial < 25; ++trial) {
            const int count = 5 + static_cast<int>(share(random) * 180);
            const double spreadM = 0.3 + share(random) * 6;
            SheetContent content;
            content.title = "crowd";
            for (int i = 0; i < count; ++i) {
                const GroundM at{553000 + share(random) * spreadM, 6210000 + share(random) * spreadM};
                OutlineRow row;
                row.outline.context = std::to_string(1000 + i);
                row.contextKind = i % 3 == 0 ? "cut" : "fill";
                const double r = 0.02 + share(random) * 0.3;
                VertexPart part;
                for (int k = 0; k < 8; ++k)
                    part.outer.push_back(
                        {{at.east + r * std::cos(k * 0.785), at.north + r * std::sin(k * 0.785)},
                         {},
                         EdgeKind::Certain});
                row.parts.push_back(std::move(part));
                content.outlines.push_back(std::move(row));
                if (i % 2 == 0) {
                    SpotLevelRow level;
                    level.level.levelM = 51 + share(random);
                    level.place.at = at;
                    content.levels.push_back(level);
                }
            }
            const PlanSheet sheet = sheetOf(content, {});
            holdLabels(sheet);
            QVERIFY(sheet.labels.size() + sheet.noRoom.size() ==
                    content.outlines.size() + content.levels.size());
        }
    }

    static void holdLabels(const PlanSheet& sheet)
    {
        for (std::size_t i = 0; i < sheet.labels.size(); ++i) {
            QVERIFY(sheet.field.holds(sheet.labels[i]));
            for (std::size_t k = 0; k < i; ++k)
                QVERIFY2(!sheet.labels[i].overlaps(sheet.labels[k]), sheet.art.title.c_str());
        }
    }

    // The boxes are as wide as the words that are drawn in them.
    void aNumbersBoxHoldsItsWords()
    {
        const PlanSheet sheet =
            sheetOf(*planContent(*m_demo, m_demoWork, {.trench = "1"}), {.paper = PaperSize::A2});
        std::size_t held = 0;
        for (const ArtPiece& piece : sheet.art.pieces) {
            const auto* text = std::get_if<ArtText>(&piece);
            if (text == nullptr || !(text->words.starts_with("[1") || text->words.starts_with("(1")))
                continue;
            const double width = artTextWidthMm(text->words, text->sizeMm, text->bold);
            held += static_cast<std::size_t>(
                std::count_if(sheet.labels.begin(), sheet.labels.end(), [&](const PageBox& box) {
                    return std::abs(box.x + box.width / 2 - text->at.x) < 1e-9 &&
                           width <= box.width + 1e-9 && text->at.y > box.y &&
                           text->at.y < box.y + box.height;
                }));
        }
        QVERIFY(held >= 20);
    }

    void thePlansOfSkelderRiggHaveNoCollisions()
    {
        for (const char* trench : {"1", "2"})
            for (const PaperSize paper : {PaperSize::A3, PaperSize::A1}) {
                const Result<SheetContent> content =
                    planContent(*m_demo, m_demoWork, {.trench = trench, .surveyedFinds = true});
                QVERIFY2(content, content ? "" : content.error().message.c_str());
                const PlanSheet sheet = sheetOf(*content, {.paper = paper});
                holdLabels(sheet);
                if (paper == PaperSize::A1)
                    QCOMPARE(sheet.noRoom, std::vector<std::string>());
                if (!qEnvironmentVariableIsEmpty("INKPEG_SCREENSHOTS"))
                    std::ofstream((qEnvironmentVariable("INKPEG_SCREENSHOTS") + "/trench-" + trench + "-")
                                          .toStdString() +
                                      paperName(paper) + ".pdf",
                                  std::ios::binary)
                        << artPdf({sheet.art}, "Plans", "2026-07-01T12:00:00.000Z");
            }
    }

    // Three deposits within each other, the same middle: each number lies, or its leader ends, where only
    // its own deposit is, never within the next smaller one.
    void theNumberOfADepositStandsOutsideOfWhatLiesInIt()
    {
        const GroundM middle{553'000, 6'210'000};
        SheetContent content;
        content.title = "nested";
        const std::pair<const char*, double> deposits[] = {{"1", 2.0}, {"2", 1.2}, {"3", 0.5}};
        for (const auto& [context, radius] : deposits)
            content.outlines.push_back(roundOutline(context, "fill", middle, radius));
        for (const double scale : {20.0, 50.0, 100.0}) {
            const PlanSheet sheet =
                sheetOf(content, {.paper = PaperSize::A3, .standing = false, .scaleDenominator = scale});
            QCOMPARE(sheet.noRoom, std::vector<std::string>());
            const PageMm centre{sheet.field.x + sheet.field.width / 2,
                                sheet.field.y + sheet.field.height / 2};
            for (std::size_t i = 0; i < 3; ++i) {
                const PageMm at = pointedAt(sheet, std::string("(") + deposits[i].first + ")");
                const double fromMiddleM = std::hypot(at.x - centre.x, at.y - centre.y) * scale / 1000;
                QVERIFY2(fromMiddleM < deposits[i].second, deposits[i].first);
                QVERIFY2(i == 2 || fromMiddleM > deposits[i + 1].second * 0.98, deposits[i].first);
            }
        }
    }

    // The same deposit traced twice, or its cut a hand's breadth smaller: the number stands inside all the same.
    void aDepositThatIsCoveredAllOverIsNumberedAllTheSame()
    {
        const GroundM middle{553'000, 6'210'000};
        SheetContent content;
        content.title = "covered";
        content.outlines = {roundOutline("1", "fill", middle, 2.0), roundOutline("2", "cut", middle, 1.95),
                            roundOutline("3", "fill", middle, 1.9)};
        const PlanSheet sheet = sheetOf(content, {});
        QCOMPARE(sheet.labels.size(), std::size_t(3));
        const PageMm centre{sheet.field.x + sheet.field.width / 2, sheet.field.y + sheet.field.height / 2};
        for (const char* words : {"(1)", "[2]", "(3)"}) {
            QVERIFY2(textOf(sheet, words) != nullptr, words);
            // Or its leader ends inside. The largest has 2 m to every corner.
            const PageMm at = pointedAt(sheet, words);
            QVERIFY2(std::hypot(at.x - centre.x, at.y - centre.y) * sheet.scaleDenominator / 1000 < 2.0,
                     words);
        }
    }

    // Every number lies on white, over leaders and line work: nothing is drawn through it.
    void nothingIsDrawnThroughANumber()
    {
        const PlanSheet sheet =
            sheetOf(*planContent(*m_demo, m_demoWork, {.trench = "1", .surveyedFinds = true}),
                    {.paper = PaperSize::A3});
        std::size_t lastLine = 0, firstWhite = sheet.art.pieces.size(), whites = 0;
        int leaders = 0;
        for (std::size_t i = 0; i < sheet.art.pieces.size(); ++i) {
            const auto* line = std::get_if<ArtLine>(&sheet.art.pieces[i]);
            // The frame of the field itself runs along its edge, where no number stands.
            const PageBox within{sheet.field.x + 0.1, sheet.field.y + 0.1, sheet.field.width - 0.2,
                                 sheet.field.height - 0.2};
            if (line != nullptr && std::any_of(line->at.begin(), line->at.end(), [&](PageMm at) {
                    return within.holds({at.x, at.y, 0, 0});
                })) {
                lastLine = i;
                leaders += line->pen.widthMm == LeaderPen.widthMm && line->pen.ink == LeaderPen.ink;
            }
            if (const auto* area = std::get_if<ArtArea>(&sheet.art.pieces[i]);
                area != nullptr && area->ink == InkPaper) {
                firstWhite = std::min(firstWhite, i);
                ++whites;
            }
        }
        QCOMPARE(whites, sheet.labels.size());
        QVERIFY(leaders > 0 && lastLine > 0 && lastLine < firstWhite);
    }
};

QTEST_MAIN(FieldNumbersTest)
#include "FieldNumbersTest.moc"
