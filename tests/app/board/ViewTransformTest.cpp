// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ViewTransform.h"

#include <cmath>

#include <QTest>

using namespace inkpeg;

namespace {

/// Positions on the screen are compared to a thousandth of a pixel: nobody sees less.
bool near(QPointF a, QPointF b)
{
    return std::hypot(a.x() - b.x(), a.y() - b.y()) < 1e-3;
}

} // namespace

class ViewTransformTest : public QObject {
    Q_OBJECT
private slots:
    void thereAndBackAgain()
    {
        ViewTransform view;
        view.setScaleAt({13, 17}, 3.7);
        view.panBy({211, -90});
        for (const QPointF at : {QPointF(0, 0), QPointF(640, 480), QPointF(-5, 900)})
            QVERIFY(near(view.toWidget(view.toScene(at)), at));
    }
    void theSceneUnderTheCursorStaysWhileZooming()
    {
        ViewTransform view;
        view.panBy({40, 30});
        const QPointF cursor(321, 123);
        const QPointF held = view.toScene(cursor);
        for (int i = 0; i < 50; ++i)
            view.zoomAt(cursor, i % 3 == 0 ? 0.8 : 1.25);
        QVERIFY(near(view.toWidget(held), cursor));
    }
    void fittingShowsAllOfItCentred()
    {
        ViewTransform view;
        const QRectF scene(10, -300, 420, 297);
        view.fit(scene, QSizeF(900, 500), 20);
        const QRectF shown(view.toWidget(scene.topLeft()), view.toWidget(scene.bottomRight()));
        QVERIFY(QRectF(19.9, 19.9, 860.2, 460.2).contains(shown));
        QVERIFY(near(shown.center(), {450, 250}));
        QVERIFY(std::abs(shown.height() - 460) < 1e-6 || std::abs(shown.width() - 860) < 1e-6);
    }
    void theScaleStaysWithinItsLimits()
    {
        ViewTransform view;
        view.setLimits(0.5, 8);
        view.zoomAt({0, 0}, 1e6);
        QCOMPARE(view.scale(), 8.0);
        view.zoomAt({0, 0}, 1e-9);
        QCOMPARE(view.scale(), 0.5);
    }
};

QTEST_GUILESS_MAIN(ViewTransformTest)
#include "ViewTransformTest.moc"
