// SPDX-License-Identifier: GPL-3.0-or-later
// What lies drawn upon the film as one picture: outlines, marks, and on the ground the surroundings. It is
// kept while the pointer moves, shifted with the view and mended where an act changed it. What would hold
// the window up (another scale over a crowded drawing) is painted in another thread; until then the picture
// that is there stands in, moved to where it belongs.
#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include <QImage>
#include <QObject>
#include <QPixmap>
#include <QThreadPool>

#include "app/board/BoardPainting.h"

namespace inkpeg {

class DrawnPicture final : public QObject {
    Q_OBJECT
public:
    explicit DrawnPicture(QObject* parent = nullptr);
    ~DrawnPicture() override;

    /// Tells of another scene. What has changed is found out: outlines one by one, all else as a whole.
    void setScene(const BoardScene& before, const BoardScene& now);

    /// Paints the picture as `look` wants it, or as near to it as there is without waiting.
    void paint(QPainter& painter, const BoardPicture& picture, double devicePixelRatio,
               const DrawnLook& look);

    /// True while a better picture is to come.
    bool busy() const { return m_painting || m_next; }

    /// What the picture that is there was last found to show.
    OutlineSet outlinesShown() const { return m_shownAs ? m_shownAs->outlines : OutlineSet(); }

signals:
    void updated(); ///< a better picture is there

private:
    /// All that a picture depends on.
    struct Key {
        std::uint64_t rest = 0; ///< counts what else but outlines has changed
        OutlineSet outlines;
        BoardFrame frame;
        ViewTransform view;
        QSizeF size;
        double ratio = 1;
        bool dark = false;
        QFont font;
        DrawnLook look; ///< without what is painted over the picture: the chosen outline, vertices
        bool mixesWith(const Key& other) const; ///< may differ in outlines, look, and by a shift
    };
    struct Order {
        Key key;
        BoardScene scene;
    };

    bool bringUp(const Key& wanted, const BoardPicture& picture);
    std::optional<std::vector<QRectF>> staleParts(const Key& wanted, const BoardPicture& picture) const;
    void paintShown(QPainter& painter, const Key& wanted) const;
    void paintMissing(QPainter& painter, const BoardPicture& picture, const DrawnLook& look) const;
    QPoint shiftTo(const Key& wanted) const;
    void order(const Key& wanted, const BoardScene& scene);
    void paintNext();
    void arrived(const Key& key, QImage image);

    std::uint64_t m_rest = 0;
    std::optional<Key> m_shownAs;
    QPixmap m_shown;
    std::optional<Key> m_ordered; ///< being painted, or next
    std::optional<Order> m_next;
    std::shared_ptr<std::atomic<bool>> m_stop;
    bool m_painting = false;
    QThreadPool m_painters;
};

} // namespace inkpeg
