// SPDX-License-Identifier: GPL-3.0-or-later
// The open project and what is at hand in it, for the window's parts to watch. The one QObject through
// which the window changes the project: each call is one act, committed when made, undone by `undo`.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <QObject>
#include <QString>

#include "app/board/BoardScene.h"
#include "app/board/TraceTool.h"
#include "app/window/OutlineRegister.h"
#include "core/checks/Matter.h"
#include "core/checks/Proposals.h"
#include "core/checks/SheetJoins.h"
#include "core/outline/DrawnOutlines.h"
#include "core/store/DrawingDiagnosis.h"
#include "core/store/GridCrosses.h"
#include "core/store/Measure.h"
#include "core/store/Project.h"
#include "core/store/SignOffs.h"

namespace inkpeg {

class Session final : public QObject {
    Q_OBJECT
public:
    using QObject::QObject;

    bool isOpen() const { return m_project.has_value(); }
    bool canWrite() const { return m_project && m_project->access() == Access::Write; }
    const Project& project() const { return *m_project; }
    Project& project() { return *m_project; }

    /// Errors are returned, not said: the page that asked shows them beside its fields.
    Result<void> create(const std::filesystem::path& file, const ProjectFacts& facts, const Person& first);
    Result<void> open(const std::filesystem::path& file);
    void close();

    /// Hands the project to work on another thread that acts on it, until it is given back. Meanwhile the
    /// session reads the file through a connection of its own, and nobody here can write. The lent one asks
    /// nobody for reasons: what changes something signed off has to bring its own.
    /// Errors: as Project::open.
    Result<Project> lend();
    void takeBack(Project project);

    /// Who is at the keyboard, by initials.
    void setPerson(const QString& initials);
    bool addPerson(const Person& person);
    bool changePerson(const Person& person);
    /// Refused for somebody who has checked or signed something.
    bool removePerson(const Person& person);

    /// Who is asked why something that is signed off is being changed, in the middle of the act.
    void setReasonAsked(ReasonAsked asked);
    /// `records` and `open` as the project is now. All subjects are signed or none.
    bool signOff(const ProjectRecords& records, const std::vector<Matter>& open,
                 const std::vector<Subject>& subjects, Stage stage, const QString& reason);
    bool takeSignOffBack(const Subject& subject, const QString& reason);
    bool takeProposals(const std::vector<Proposal>& proposals, const QString& reason);

    void chooseDrawing(std::int64_t id);
    std::optional<Drawing> drawing() const;

    /// The drawing at hand with its pins, fit and outlines; with `surroundings` also what lies about it on
    /// the ground, which costs the fits of all pinned drawings.
    const BoardScene& scene() const { return m_scene; }
    void setSurroundingsShown(bool shown);

    /// Why the drawing at hand has no fit; empty when it has one, or no drawing is at hand.
    const QString& noFitBecause() const { return m_noFitBecause; }

    // Pins of the drawing at hand. Each returns false after saying what was wrong.
    bool placePin(ScanPx mark, const QString& peg, const std::optional<CrossMark>& cross = {});
    bool movePin(std::int64_t pin, ScanPx mark);
    bool removePin(std::int64_t pin);
    bool renamePin(std::int64_t pin, const QString& peg);
    bool setPinUse(std::int64_t pin, PinUse use);
    /// `reason` is kept with the drawing; empty where the advice was taken.
    bool setModel(Model model, const QString& reason);
    bool setScale(double scaleDenominator);
    /// The drawing's part of its sheet; fewer than three corners = all of it.
    bool setFrame(const std::vector<ScanPx>& frame);
    bool acceptCrosses(const std::vector<ProposedPin>& crosses);
    /// Takes over pins of the sheet's other drawings that lie on this one's part.
    bool sharePins();
    bool takeRemedy(std::size_t hypothesis);
    /// The unused peg nearest to where the pins so far put a place (with one pin, the direction of the
    /// lines of a cross); empty when nothing tells.
    QString proposedPeg(ScanPx mark, std::optional<double> crossDirectionRad = {}) const;

    /// What the diagnosis and the comparison of models say of the drawing at hand; asked once, then kept
    /// until the project changes. Nothing without pins that can be looked at.
    const DrawingDiagnosis* diagnosis() const;
    const ModelComparison* comparison() const;
    QStringList pegNames() const;

    // Outlines of the drawing at hand. Each returns false after saying what was wrong.
    bool addOutline(const QString& context, const std::vector<Part>& parts);
    bool moveOutlineVertex(ScanPx from, ScanPx to);
    bool insertOutlineVertex(ScanPx from, ScanPx to, ScanPx at);
    bool removeOutlineVertex(ScanPx at);
    bool setOutlineEdgeKind(ScanPx a, ScanPx b, EdgeKind kind);
    bool moveOutlineRun(const Run& run, double columnsPx, double rowsPx);
    bool removeOutlineRun(const Run& run);
    bool setOutlineRunKind(const Run& run, EdgeKind kind);
    bool redrawOutlineRun(const std::vector<ScanPx>& line, const std::vector<EdgeKind>& kinds);
    bool divideOutline(std::int64_t outline, const std::vector<ScanPx>& line, EdgeKind kind,
                       const QString& context);
    bool mergeOutlinesOf(std::int64_t kept, std::int64_t other);
    bool cutOutlineOut(std::int64_t newer, std::int64_t older);
    bool holeOutline(std::int64_t outline, const Ring& hole);
    bool closeHoleAt(std::int64_t outline, ScanPx at);
    bool removePartAt(std::int64_t outline, ScanPx at);
    bool copyOutlineTo(std::int64_t outline, const QString& drawing);
    bool removeOutline(std::int64_t outline);
    /// Does the edit that was offered mended (mendOffered), or lets it be.
    bool takeMending();
    void leaveMending() { m_offer.reset(); }
    bool renameOutline(std::int64_t outline, const QString& context);
    bool markTraced();
    /// Area, perimeter and centroid of an outline of the drawing at hand; nothing without a fit.
    std::optional<OutlineFigures> figuresOf(std::int64_t outline) const;
    /// The context's outlines on all pinned plans, for core/checks/SheetJoins.h.
    std::vector<SheetOutline> sheetsOf(const std::string& context) const;

    // What is drawn beside outlines.
    /// `text` as core/store/SpotLevels.h reads it: a level, a levelled point, or both.
    bool addLevel(ScanPx at, const QString& text);
    QStringList levelledPointNames() const;
    bool addPoint(PointKind kind, ScanPx at, const QString& numberOrText);
    bool addLine(LineKind kind, const std::vector<ScanPx>& vertices, const QString& context,
                 const QString& label);
    bool moveMark(const MarkHit& mark, ScanPx to);
    bool removeMark(const MarkHit& mark);
    /// Gives a level its figure, a point its number or text, a section line its letters.
    bool rewriteMark(const MarkHit& mark, const QString& text);
    /// What `rewriteMark` would change.
    QString textOfMark(const MarkHit& mark) const;
    /// The context of the smallest outline about a place; empty if there is none.
    std::string contextAt(ScanPx at) const;
    /// Numbers of a register that no point of the project shows yet, in register order.
    QStringList undrawnNumbers(PointKind kind) const;

    /// Contexts of the drawing's trench that no outline of the project shows yet: first the fills of cuts
    /// (and cuts of fills) that are drawn on this drawing already, then the others, each in register order.
    QStringList undrawnContexts() const;

    /// Sets a matter of the tally aside; needs a reason.
    bool waiveMatter(const Matter& matter, const QString& reason);

    /// Rights and depositor of the deposit, asked for once.
    bool setDepositWords(const QString& rights, const QString& depositor);

    bool setScan(const std::filesystem::path& file, bool faceDown);

    bool undo();
    bool redo();

    /// Tells the parts that the project has changed by other means (register import).
    void refresh();

signals:
    void projectChanged(); ///< opened or closed
    void recordsChanged(); ///< after each act, undo and redo
    void drawingChosen();
    void personChanged(); ///< who is at the keyboard
    void said(const QString& words, bool trouble);
    /// An edit would leave outlines invalid: those that it changes, as they could be mended, and what that
    /// would change. Nothing is done until takeMending.
    void mendOffered(const inkpeg::DrawnOutlines& outlines, const inkpeg::Mendings& mendings);

private:
    using Edit = std::function<Result<void>(Editor&)>;
    bool act(const QString& what, const Edit& edit, const QString& why = {});
    bool refuse(const Error& error);
    bool tell(const Result<Change>& change);
    void watchSeals();
    void rebuild();
    void follow(const Change& change);
    void sayReadingTrouble();
    /// With the rows that an act touched, the outlines at hand are brought up by those alone.
    void rebuildDrawing(const std::vector<TouchedRow>* touched = nullptr);
    void bringOutlinesUp(OutlineSet& outlines, const std::vector<TouchedRow>& touched);
    void rebuildSurroundings();
    void staleOnGround(const std::vector<TouchedRow>& touched, const OutlineSet& before);
    void refreshStale();
    void chooseNeighbours();
    void choosePosts();
    bool changePins(const QString& what,
                    const std::function<Result<void>(std::vector<Pin>&, Editor&)>& change);
    using OutlinesEdit = std::function<Result<void>(DrawnOutlines&)>;
    bool editDrawn(const QString& what, DrawnOutlines outlines, const OutlinesEdit& edit);
    using MendableEdit = std::function<Result<void>(DrawnOutlines&, Mendings*)>;
    bool editOrMend(const QString& what, DrawnOutlines outlines, const MendableEdit& edit);
    /// What an edit of the outlines that meet a box has to know of.
    DrawnOutlines outlinesAbout(const ScanBox& box) const;
    DrawnOutlines outlinesMeeting(const ScanBox& box) const;
    /// The box of some outlines of the drawing at hand, and of all that show a context on it.
    ScanBox boxOfOutlines(const std::vector<std::int64_t>& outlines, const std::string& context = {}) const;
    /// The index of an outline among `all`, or a refusal.
    using OneEdit = std::function<Result<void>(DrawnOutlines&, std::size_t)>;
    bool editOne(const QString& what, std::int64_t outline, const ScanBox& about, const OneEdit& edit);
    /// What follows every change of the project: the scene, the signals, the words.
    bool acted(const Result<Change>& change, const QString& what);

    struct Offer {
        QString what;
        DrawnOutlines before, after;
    };

    std::optional<Project> m_project;
    std::optional<Offer> m_offer; ///< an edit that waits for its mending to be taken
    ReasonAsked m_reasonAsked;
    std::shared_ptr<OutlineIndex> m_index; ///< of the outlines of the drawing at hand
    std::int64_t m_drawing = 0;
    BoardScene m_scene;
    OutlineRegister m_register;
    /// All of them while the surroundings are shown, by drawing.
    std::map<std::int64_t, std::shared_ptr<const Neighbour>> m_pinnedPlans;
    std::map<std::int64_t, std::shared_ptr<const SectionTrace>> m_pinnedSections;
    std::set<std::int64_t> m_stale; ///< drawings whose outlines have changed since
    QString m_noFitBecause;
    bool m_surroundings = false;
    mutable std::optional<Result<DrawingDiagnosis>> m_diagnosis; ///< nothing = not asked yet
    mutable std::optional<Result<ModelComparison>> m_comparison;
    std::string m_troubleSaid; ///< the last trouble of reading, said once
};

} // namespace inkpeg
