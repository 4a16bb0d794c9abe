// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PostsDialog.h"

#include <cmath>

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QListWidget>
#include <QPainter>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/print/PostsReport.h"
#include "app/window/Words.h"
#include "core/store/SurveyedPosts.h"

namespace inkpeg {
namespace {

QString metres(double value)
{
    return QObject::tr("%1 m").arg(value, 0, 'f', 3);
}

} // namespace

void PostsSketch::draw(std::vector<AlignedPost> posts, std::optional<LineAlignment> line,
                       std::optional<CircleAlignment> circle)
{
    m_posts = std::move(posts);
    m_line = std::move(line);
    m_circle = std::move(circle);
    update();
}

void PostsSketch::paintEvent(QPaintEvent*)
{
    const Palette& colours = inkpeg::palette();
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.fillRect(rect(), colours.desk);
    if (m_posts.empty())
        return;
    const GroundM origin = m_posts.front().position;
    QPolygonF places;
    for (const AlignedPost& post : m_posts)
        places << QPointF(post.position.east - origin.east, -(post.position.north - origin.north));
    QRectF bounds = places.boundingRect();
    if (m_circle) {
        const QPointF middle(m_circle->centre.east - origin.east, -(m_circle->centre.north - origin.north));
        // A wide arc of a huge circle would leave the posts too small to see.
        if (m_circle->radiusM < 3 * std::max(bounds.width(), bounds.height()))
            bounds |= QRectF(middle - QPointF(m_circle->radiusM, m_circle->radiusM),
                             middle + QPointF(m_circle->radiusM, m_circle->radiusM));
    }
    const double pxPerM = std::min((width() - 70) / std::max(bounds.width(), 0.2),
                                   (height() - 50) / std::max(bounds.height(), 0.2));
    const auto at = [&](GroundM place) {
        const QPointF offset(place.east - origin.east, -(place.north - origin.north));
        return QPointF(width() / 2.0, height() / 2.0) + (offset - bounds.center()) * pxPerM;
    };
    painter.setPen(QPen(colours.accent, 1.6, Qt::DashLine));
    if (m_line) {
        const double reach = std::hypot(bounds.width(), bounds.height());
        const double east = std::sin(m_line->directionRad) * reach,
                     north = std::cos(m_line->directionRad) * reach;
        painter.drawLine(at({m_line->centroid.east - east, m_line->centroid.north - north}),
                         at({m_line->centroid.east + east, m_line->centroid.north + north}));
    }
    if (m_circle)
        painter.drawEllipse(at(m_circle->centre), m_circle->radiusM * pxPerM, m_circle->radiusM * pxPerM);
    painter.setPen(QPen(colours.ink, 1));
    for (const AlignedPost& post : m_posts) {
        painter.setBrush(colours.peg);
        painter.drawEllipse(at(post.position), 4, 4);
        painter.drawText(at(post.position) + QPointF(7, -5), words(post.name));
    }
}

PostsDialog::PostsDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_list(new QListWidget(this)), m_shape(new QComboBox(this)),
      m_figures(new QLabel(this)), m_places(new QTableWidget(0, 4, this)), m_sketch(new PostsSketch(this))
{
    setWindowTitle(tr("Posts in a row or ring"));
    setAttribute(Qt::WA_DeleteOnClose);
    m_list->setObjectName("posts");
    m_list->setAccessibleName(tr("Timbers with a place"));
    m_list->setToolTip(tr("Tick the posts that are thought to belong together; Space ticks"));
    m_list->setMaximumWidth(220);
    m_shape->setObjectName("postsShape");
    m_shape->addItems({tr("in a row: best line"), tr("in a ring: best arc")});
    m_shape->setAccessibleName(tr("Supposed shape"));
    m_figures->setObjectName("postsFigures");
    m_figures->setWordWrap(true);
    m_places->setHorizontalHeaderLabels({tr("Timber"), tr("Along"), tr("Spacing"), tr("Off it")});
    m_places->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    m_places->verticalHeader()->hide();
    m_places->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_places->setAccessibleName(tr("Residuals and spacing"));
    m_sketch->setMinimumHeight(190);
    auto* right = new QVBoxLayout;
    right->addWidget(m_shape);
    right->addWidget(m_figures);
    right->addWidget(m_sketch, 1);
    right->addWidget(m_places, 1);
    auto* across = new QHBoxLayout;
    across->addWidget(m_list);
    across->addLayout(right, 1);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    auto* report = buttons->addButton(tr("&Write the report…"), QDialogButtonBox::ActionRole);
    report->setObjectName("postsReport");
    report->setToolTip(
        tr("Writes posts.pdf and posts.html: the line or arc, residuals, spacing, how each stands"));
    report->setAutoDefault(false);
    connect(report, &QPushButton::clicked, this, &PostsDialog::askWhere);
    auto* layout = new QVBoxLayout(this);
    layout->addLayout(across, 1);
    layout->addWidget(buttons);
    resize(760, 620);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(m_shape, &QComboBox::currentIndexChanged, this, &PostsDialog::align);
    connect(m_list, &QListWidget::itemChanged, this, [this] {
        if (!m_filling)
            align();
    });
    connect(&session, &Session::projectChanged, this, &QDialog::close);
    connect(&session, &Session::recordsChanged, this, &PostsDialog::refresh);
    refresh();
    m_list->setFocus();
}

void PostsDialog::refresh()
{
    if (!m_session.isOpen())
        return;
    const std::vector<std::string> before = ticked();
    m_filling = true;
    m_list->clear();
    for (const Timber& timber : m_session.project().all<Timber>()) {
        if (!timber.position)
            continue;
        auto* item = new QListWidgetItem(words(timber.number), m_list);
        item->setFlags(item->flags() | Qt::ItemIsUserCheckable);
        item->setCheckState(std::ranges::find(before, timber.number) != before.end() ? Qt::Checked
                                                                                     : Qt::Unchecked);
        item->setToolTip(tr("%1 in context %2").arg(words(timber.kind), words(timber.context)));
    }
    m_filling = false;
    align();
}

std::vector<std::string> PostsDialog::ticked() const
{
    std::vector<std::string> numbers;
    for (int i = 0; i < m_list->count(); ++i)
        if (m_list->item(i)->checkState() == Qt::Checked)
            numbers.push_back(m_list->item(i)->text().toStdString());
    return numbers;
}

void PostsDialog::askWhere()
{
    const Result<TableReport> report = postsReport(
        m_session.project(), ticked(), m_shape->currentIndex() == 0 ? PostShape::Line : PostShape::Arc);
    if (!report)
        return m_figures->setText(words(report.error().message));
    const QString folder = QFileDialog::getExistingDirectory(this, tr("Write the report on posts"));
    if (folder.isEmpty())
        return;
    const auto files = writeTableReport(*report, folder.toStdString(), "posts");
    m_figures->setText(files ? tr("Written: posts.pdf and posts.html in %1").arg(folder)
                             : words(files.error().message));
}

void PostsDialog::align()
{
    std::vector<AlignedPost> posts;
    if (Result<std::vector<AlignedPost>> placed = surveyedPosts(m_session.project(), ticked()))
        posts = std::move(placed).value();
    std::optional<LineAlignment> line;
    std::optional<CircleAlignment> circle;
    std::vector<PostPlace> places;
    QString figures = m_list->count() == 0 ? tr("No timber has a place yet")
                                           : tr("Tick two posts or more for a row, three for a ring");
    const bool inRow = m_shape->currentIndex() == 0;
    if (posts.size() >= (inRow ? 2U : 3U) && inRow) {
        Result<LineAlignment> fitted = alignOnLine(posts);
        if (fitted) {
            line = std::move(fitted).value();
            places = line->posts;
            figures = words(alignmentInWords(*line));
        } else {
            figures = words(fitted.error().message);
        }
    } else if (posts.size() >= 3) {
        Result<CircleAlignment> fitted = alignOnCircle(posts);
        if (fitted) {
            circle = std::move(fitted).value();
            places = circle->posts;
            figures = words(alignmentInWords(*circle));
        } else {
            figures = words(fitted.error().message);
        }
    }
    m_figures->setText(figures);
    m_places->setRowCount(static_cast<int>(places.size()));
    for (int row = 0; row < m_places->rowCount(); ++row) {
        const PostPlace& place = places[static_cast<std::size_t>(row)];
        const QStringList cells{words(place.name), metres(place.alongM),
                                row > 0 || circle ? metres(place.spacingM) : QString(),
                                tr("%1 mm").arg(place.residualM * 1000, 0, 'f', 0)};
        for (int column = 0; column < cells.size(); ++column)
            m_places->setItem(row, column, new QTableWidgetItem(cells[column]));
    }
    m_sketch->draw(std::move(posts), std::move(line), std::move(circle));
}

} // namespace inkpeg
