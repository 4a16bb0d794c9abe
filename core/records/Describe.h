// SPDX-License-Identifier: GPL-3.0-or-later
// The fields of each record type: name in the file, unit, meaning. Included by Schema.cpp only.
#pragma once

#include "core/records/Schema.h"

namespace inkpeg {

template<typename Record>
struct TableWords;

#define INKPEG_TABLE(Record, table, heading, meaning)                                                      \
    template<>                                                                                             \
    struct TableWords<Record> {                                                                            \
        static constexpr const char* name = table;                                                         \
        static constexpr const char* title = heading;                                                      \
        static constexpr const char* words = meaning;                                                      \
    }

INKPEG_TABLE(ProjectFacts, "facts", "Project", "Facts of the project as a whole: one row.");
INKPEG_TABLE(Person, "people", "People", "A person who draws, traces, checks or signs.");
INKPEG_TABLE(Trench, "trenches", "Trenches", "A trench, test pit or sondage with its limit of excavation.");
INKPEG_TABLE(Sheet, "sheets", "Sheets", "A piece of drawing film and its scan.");
INKPEG_TABLE(Drawing, "drawings", "Drawings", "A plan, section, elevation or profile on a sheet.");
INKPEG_TABLE(Pin, "pins", "Pins", "A peg tied to its mark on the film.");
INKPEG_TABLE(Peg, "pegs", "Pegs", "A surveyed control point.");
INKPEG_TABLE(Context, "contexts", "Contexts", "A context of the context register.");
INKPEG_TABLE(Relation, "relations", "Relations",
             "A stratigraphic relation as written on a context record.");
INKPEG_TABLE(Find, "finds", "Small finds", "A small find of the finds register.");
INKPEG_TABLE(Sample, "samples", "Samples", "A sample of the sample register.");
INKPEG_TABLE(Timber, "timbers", "Timbers", "A timber: post, stake, plank.");
INKPEG_TABLE(Photograph, "photographs", "Photographs",
             "A photograph of the photograph register (number only).");
INKPEG_TABLE(Outline, "outlines", "Outlines", "The outline of a context on one drawing.");
INKPEG_TABLE(EdgeLine, "edges", "Edges", "A line on a drawing that bounds no context by itself.");
INKPEG_TABLE(SpotLevel, "levels", "Levels", "A level written on a drawing.");
INKPEG_TABLE(LevelBook, "level_books", "Level books", "A run of levels with one instrument.");
INKPEG_TABLE(LevelReading, "level_readings", "Level readings", "A line of a level book as booked.");
INKPEG_TABLE(DrawnPoint, "points", "Points", "A find, sample or timber marked on a drawing, or a note.");
INKPEG_TABLE(SignOff, "sign_offs", "Sign-offs",
             "A second person's word that a drawing or context is done.");
INKPEG_TABLE(Waiver, "waivers", "Waivers", "An open matter that was set aside, with a reason and a name.");
INKPEG_TABLE(ColumnMatch, "column_matches", "Column matches",
             "A site's own name for a column of a register.");
#undef INKPEG_TABLE

template<typename Visit>
void describe(Visit& visit, ProjectFacts& facts)
{
    visit({"site_code", "", "code of the site, as written on the film"}, facts.siteCode);
    visit({"title", "", "title of the project"}, facts.title);
    visit({"crs", "", "horizontal coordinate reference system, authority:code"}, facts.crs);
    visit({"datum", "", "name of the level datum"}, facts.datum);
    visit({"tracing_error", "mm", "pointing and tracing on the film, one sigma"}, facts.tracingErrorMm);
    visit({"pin_tolerance", "mm", "largest residual of a pin on the film"}, facts.pinToleranceMm);
    visit({"rights", "", "rights statement for the deposit"}, facts.rights);
    visit({"depositor", "", "who deposits the archive"}, facts.depositor);
}

template<typename Visit>
void describe(Visit& visit, Person& person)
{
    visit({"initials", "", "initials as written on film and records"}, Key{person.initials});
    visit({"name", "", "full name"}, person.name);
    visit({"role", "", "role in the project"}, person.role);
}

template<typename Visit>
void describe(Visit& visit, Trench& trench)
{
    visit({"name", "", "name of the trench"}, Key{trench.name});
    visit({"kind", "", "trench, test pit or sondage"}, trench.kind);
    visit({"geom", "m", "limit of excavation"}, trench.limit);
}

template<typename Visit>
void describe(Visit& visit, Sheet& sheet)
{
    visit({"number", "", "number of the sheet"}, Key{sheet.number});
    visit({"film_size", "", "size of the film, e.g. A3"}, sheet.filmSize);
    visit({"scan", "", "path of the scan, relative to the project file"}, sheet.scanFile);
    visit({"scan_sha256", "", "SHA-256 of the scan file, hexadecimal"}, sheet.scanSha256);
    visit({"width", "px", "width of the scan"}, sheet.frame.widthPx);
    visit({"height", "px", "height of the scan"}, sheet.frame.heightPx);
    visit({"dpi_x", "px/inch", "resolution along the rows"}, sheet.frame.dpiX);
    visit({"dpi_y", "px/inch", "resolution along the columns"}, sheet.frame.dpiY);
    visit({"face_down", "", "whether the film lay face down, so that the scan is mirrored"},
          sheet.frame.faceDown);
}

template<typename Visit>
void describe(Visit& visit, Drawing& drawing)
{
    visit({"number", "", "drawing number"}, Key{drawing.number});
    visit({"kind", "", "plan, section, elevation or profile"}, drawing.kind);
    visit({"title", "", "title as written"}, drawing.title);
    visit({"trench", "", "name of the trench"}, drawing.trench);
    visit({"sheet", "", "number of the sheet that carries it"}, drawing.sheet);
    visit({"scale", "", "scale denominator: 20 for 1:20"}, drawing.scaleDenominator);
    visit({"drawn_by", "", "initials of who drew it"}, drawing.drawnBy);
    visit({"drawn_on", "", "date drawn, ISO 8601"}, drawing.drawnOn);
    visit({"facing", "", "sections: the way the drawn face looks"}, drawing.facing);
    visit({"datum", "m", "sections: level of the drawn datum line"}, drawing.datumM);
    visit({"geom", "px", "its part of the sheet; none = all of it"}, FrameOf{drawing.frame});
    visit({"model", "", "kind of transform fitted to its pins"}, drawing.model);
    visit({"stage", "", "listed, scanned, pinned, traced, checked or signed off"}, drawing.stage);
    visit({"note", "", "note"}, drawing.note);
    visit({"section_line", "",
           "sections: pegs of its line from A over the bends to B, semicolons between, a bar before one "
           "that it steps aside to; none = straight through its pins"},
          drawing.sectionLine);
    visit({"exaggeration", "", "sections: how many times taller than wide it was drawn"},
          drawing.verticalExaggeration);
    visit({"model_reason", "", "why this model, as whoever chose it said"}, drawing.modelReason);
}

template<typename Visit>
void describe(Visit& visit, Pin& pin)
{
    visit({"drawing", "", "row of the drawing"}, OfDrawing{pin.drawing});
    visit({"peg", "", "name of the peg"}, pin.peg);
    visit({"geom", "px", "mark on the scan"}, pin.mark);
    visit({"use", "", "fit = takes part in the fit, check = check point, out = set aside"}, pin.use);
    visit({"placed_by", "", "hand, cross (centred on a grid cross) or lattice (found by itself)"},
          pin.placedBy);
    visit({"on_datum", "", "sections: whether the mark lies on the datum line, whose level it has"},
          pin.onDatum);
    visit({"datum", "m", "sections: datum of the piece the mark belongs to, if not the drawing's"},
          pin.datumM);
    visit({"standard_error", "px", "of a mark centred on a cross, one sigma for each axis"},
          pin.standardErrorPx);
}

template<typename Visit>
void describe(Visit& visit, Peg& peg)
{
    visit({"name", "", "name of the peg"}, Key{peg.name});
    visit({"frame", "", "crs = the project's CRS, site = the local site grid"}, peg.frame);
    visit({"east", "m", "east in its frame"}, peg.position.east);
    visit({"north", "m", "north in its frame"}, peg.position.north);
    visit({"level", "m", "level above the project's datum"}, peg.levelM);
    visit({"se_east", "m", "standard error of east, one sigma"}, peg.standardErrorEastM);
    visit({"se_north", "m", "standard error of north, one sigma"}, peg.standardErrorNorthM);
    visit({"se_level", "m", "standard error of the level, one sigma"}, peg.standardErrorLevelM);
    visit({"note", "", "note"}, peg.note);
    visit({"geom", "m", "place in the project's CRS; none for pegs of the site grid"}, PlaceOf{peg});
}

template<typename Visit>
void describe(Visit& visit, Context& context)
{
    visit({"number", "", "context number"}, Key{context.number});
    visit({"kind", "", "cut, fill, layer, structure, timber"}, context.kind);
    visit({"trench", "", "name of the trench"}, context.trench);
    visit({"description", "", "description"}, context.description);
    visit({"period", "", "period or phase"}, context.period);
    visit({"recorded_by", "", "initials of who recorded it"}, context.recordedBy);
    visit({"recorded_on", "", "date recorded, ISO 8601"}, context.recordedOn);
    visit({"top", "m", "highest level"}, context.topM);
    visit({"bottom", "m", "lowest level"}, context.bottomM);
    visit({"stage", "", "listed, scanned, pinned, traced, checked or signed off"}, context.stage);
}

template<typename Visit>
void describe(Visit& visit, Relation& relation)
{
    visit({"context", "", "number of the context on whose record it was written"}, relation.context);
    visit({"kind", "", "above, below, cuts, cut by, fills, filled by, same as or abuts"}, relation.kind);
    visit({"other", "", "number of the other context"}, relation.other);
}

template<typename Visit>
void describe(Visit& visit, Find& find)
{
    visit({"number", "", "small find number"}, Key{find.number});
    visit({"context", "", "number of the context it came from"}, find.context);
    visit({"trench", "", "name of the trench"}, find.trench);
    visit({"material", "", "material"}, find.material);
    visit({"description", "", "description"}, find.description);
    visit({"geom", "m", "surveyed place"}, find.position);
    visit({"level", "m", "surveyed level"}, find.levelM);
    visit({"se", "m", "standard error of the place, one sigma per axis"}, find.standardErrorM);
}

template<typename Visit>
void describe(Visit& visit, Sample& sample)
{
    visit({"number", "", "sample number"}, Key{sample.number});
    visit({"context", "", "number of the context it came from"}, sample.context);
    visit({"trench", "", "name of the trench"}, sample.trench);
    visit({"kind", "", "bulk, column, dendro, ..."}, sample.kind);
    visit({"description", "", "description"}, sample.description);
    visit({"geom", "m", "surveyed place"}, sample.position);
    visit({"level", "m", "surveyed level"}, sample.levelM);
    visit({"se", "m", "standard error of the place, one sigma per axis"}, sample.standardErrorM);
}

template<typename Visit>
void describe(Visit& visit, Timber& timber)
{
    visit({"number", "", "timber number"}, Key{timber.number});
    visit({"context", "", "number of its context"}, timber.context);
    visit({"trench", "", "name of the trench"}, timber.trench);
    visit({"kind", "", "post, stake, plank, ..."}, timber.kind);
    visit({"geom", "m", "surveyed place"}, timber.position);
    visit({"top", "m", "level of the top"}, timber.topM);
    visit({"bottom", "m", "level of the bottom"}, timber.bottomM);
    visit({"length", "m", "length"}, timber.lengthM);
    visit({"diameter", "m", "diameter"}, timber.diameterM);
    visit({"lean", "degrees", "lean from the vertical"}, timber.leanDegrees);
    visit({"lean_bearing", "degrees", "bearing of the lean, clockwise from grid north"},
          timber.leanBearingDegrees);
    visit({"se", "m", "standard error of the place, one sigma per axis"}, timber.standardErrorM);
}

template<typename Visit>
void describe(Visit& visit, Photograph& photograph)
{
    visit({"number", "", "photograph number"}, Key{photograph.number});
    visit({"subject", "", "what it shows"}, photograph.subject);
    visit({"taken_on", "", "date taken, ISO 8601"}, photograph.takenOn);
}

template<typename Visit>
void describe(Visit& visit, Outline& outline)
{
    visit({"drawing", "", "row of the drawing"}, OfDrawing{outline.drawing});
    visit({"context", "", "context number"}, outline.context);
    visit({"geom", "px", "polygons on the scan, on a lattice of 1/256 px"}, outline.parts);
    visit(
        {"edge_kinds", "", "kinds of the edges as run lengths, ring by ring in the order of the geometry"},
        EdgeKindsOf{outline.parts});
    visit({"traced_by", "", "initials of who traced it"}, outline.tracedBy);
    visit({"traced_at", "", "when traced, ISO 8601, UTC"}, outline.tracedAt);
    visit({"stage", "", "traced, checked or signed off"}, outline.stage);
}

template<typename Visit>
void describe(Visit& visit, EdgeLine& edge)
{
    visit({"drawing", "", "row of the drawing"}, OfDrawing{edge.drawing});
    visit({"kind", "", "break top, break bottom, section line, limit of excavation or other"}, edge.kind);
    visit({"context", "", "context number"}, edge.context);
    visit({"label", "", "section lines: A-B"}, edge.label);
    visit({"geom", "px", "line on the scan"}, LineOf{edge.vertices});
}

template<typename Visit>
void describe(Visit& visit, SpotLevel& level)
{
    visit({"drawing", "", "row of the drawing"}, OfDrawing{level.drawing});
    visit({"context", "", "context number"}, level.context);
    visit({"geom", "px", "mark on the scan"}, level.mark);
    visit({"level", "m", "level above the project's datum"}, level.levelM);
    visit({"point", "", "its name in the level book, if it was levelled under one"}, level.point);
}

template<typename Visit>
void describe(Visit& visit, LevelBook& book)
{
    visit({"name", "", "name of the level book"}, Key{book.name});
    visit({"levelled_on", "", "date levelled, ISO 8601"}, book.levelledOn);
    visit({"levelled_by", "", "initials of who levelled"}, book.levelledBy);
    visit({"tolerance_k", "mm", "misclosure allowed: k times the root of the number of set-ups"},
          book.toleranceK);
    visit({"check_tolerance", "mm", "how far one point levelled twice may differ"}, book.checkToleranceMm);
    visit({"distribute", "", "whether the misclosure is spread over the set-ups"}, book.distribute);
    visit({"note", "", "note"}, book.note);
}

template<typename Visit>
void describe(Visit& visit, LevelReading& reading)
{
    visit({"book", "", "name of its level book"}, reading.book);
    visit({"line", "", "order in the book, from 1"}, reading.line);
    visit({"point", "", "name of the point"}, reading.point);
    visit({"backsight", "m", "backsight"}, reading.backsightM);
    visit({"intermediate", "m", "intermediate sight"}, reading.intermediateM);
    visit({"foresight", "m", "foresight"}, reading.foresightM);
    visit({"benchmark", "m", "known level of the point"}, reading.benchmarkM);
    visit({"booked", "m", "reduced level as worked out on site"}, reading.bookedM);
    visit({"note", "", "note"}, reading.note);
}

template<typename Visit>
void describe(Visit& visit, DrawnPoint& point)
{
    visit({"drawing", "", "row of the drawing"}, OfDrawing{point.drawing});
    visit({"kind", "", "find, sample, timber or note"}, point.kind);
    visit({"number", "", "number of the find, sample or timber"}, point.number);
    visit({"text", "", "text of a note"}, point.text);
    visit({"geom", "px", "mark on the scan"}, point.mark);
}

template<typename Visit>
void describe(Visit& visit, SignOff& signOff)
{
    visit({"subject_kind", "", "drawing or context"}, signOff.subjectKind);
    visit({"subject", "", "number of the drawing or context"}, signOff.subject);
    visit({"stage", "", "the stage that was signed"}, signOff.stage);
    visit({"person", "", "initials of who signed"}, signOff.person);
    visit({"at", "", "when signed, ISO 8601, UTC"}, signOff.at);
    visit({"reason", "", "reason given"}, signOff.reason);
    visit({"seal_sha256", "", "SHA-256 of what was signed, hexadecimal"}, signOff.sealSha256);
    visit({"broken", "", "whether a later change broke the seal"}, signOff.broken);
}

template<typename Visit>
void describe(Visit& visit, ColumnMatch& match)
{
    visit({"register_name", "", "name of the register"}, match.registerName);
    visit({"column_name", "", "column of the register; empty = passed over"}, match.column);
    visit({"site_column", "", "column of the site's files"}, match.siteColumn);
}

template<typename Visit>
void describe(Visit& visit, Waiver& waiver)
{
    visit({"check_name", "", "name of the check"}, waiver.check);
    visit({"subject", "", "what the open matter is about, as the check gives it"}, waiver.subject);
    visit({"reason", "", "why it was set aside"}, waiver.reason);
    visit({"person", "", "initials of who set it aside"}, waiver.person);
    visit({"at", "", "when, ISO 8601, UTC"}, waiver.at);
}

} // namespace inkpeg
