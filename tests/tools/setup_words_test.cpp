/// Every kind of fact of a setup in words, in both units.

#include "tools/report/setup_words.hpp"

#include <catch2/catch.hpp>

#include "tools/report/cut_words.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::solver;

namespace {

struct Words {
  SetupFact fact;
  std::string mm;
  std::string inches;
};

const Obstacle kTooWide{1, CutTooWide{0.32, 0.3}};
const std::vector<Knot> kKnots{{1.5, 0.5, 0.031, 0.08}, {2.2, 0.4, 0.012, 0.03}};

const std::vector<Words> kWords{
    {OpeningFails{kTooWide},
     "The opening cut does not work with this kit: no plane of the stack works with this kit; plane 2 is the "
     "best compromise: at plane 2, the cut is 320 mm wide and the bar spans 300 mm.",
     "The opening cut does not work with this kit: no plane of the stack works with this kit; plane 2 is the "
     "best compromise: at plane 2, the cut is 12 5/8 in wide and the bar spans 11 13/16 in."},
    {BarTooShort{3, 2, 0.392, 0.35},
     "The bar is too short for 3 cuts: cut 2 is 392 mm wide and the bar spans 350 mm; a bar that spans 400 "
     "mm "
     "would do.",
     "The bar is too short for 3 cuts: cut 2 is 15 7/16 in wide and the bar spans 13 3/4 in; a bar that "
     "spans "
     "15 3/4 in would do."},
    {DepthOutOfRange{4, 0.0545, 0.12, 0.33},
     "Cut 4 needs a saw depth of 54 mm, but the saw can be set from 120 mm to 330 mm.",
     "Cut 4 needs a saw depth of 2 1/8 in, but the saw can be set from 4 3/4 in to 13 in."},
    {KerfDiffers{0.009, 0.0095},
     "The plan was made for a kerf of 9 millimetres, but the kit's saw cuts 9.5 millimetres: plan again with "
     "the kit's kerf.",
     "The plan was made for a kerf of 9 millimetres, but the kit's saw cuts 9.5 millimetres: plan again with "
     "the kit's kerf."},
    {BracketsTooHigh{0.4, 0.25, 0.2305},
     "The end brackets are 400 mm high and the rail lies only 250 mm above the cut: the saw would run into "
     "them; use brackets no higher than 230 mm.",
     "The end brackets are 15 3/4 in high and the rail lies only 9 13/16 in above the cut: the saw would run "
     "into them; use brackets no higher than 9 1/16 in."},
    {ScrewsNearCut{{{1, 2, true, 0.01, 0.0259}, {2, 1, false, 0, 0}}, true, 0.03, 0.015},
     "Screws that go 30 mm below the bark would end less than 15 mm from the cut; use shorter ones here: "
     "position 1 support 2 left (at most 25 mm deep), position 2 support 1 right (no screw).",
     "Screws that go 1 3/16 in below the bark would end less than 9/16 in from the cut; use shorter ones "
     "here: position 1 support 2 left (at most 1 in deep), position 2 support 1 right (no screw)."},
    {TooFewSupports{2, 1},
     "Rail position 2 has 1 support on the log: it needs two; choose other support positions.",
     "Rail position 2 has 1 support on the log: it needs two; choose other support positions."},
    {ScrewsLackWood{1, 14, 0.025},
     "1 screw of 14 on the log would have less than 25 mm of bark and wood above the cut: leave them up, or "
     "use screws that bite less.",
     "1 screw of 14 on the log would have less than 1 in of bark and wood above the cut: leave them up, or "
     "use screws that bite less."},
    {BlocksNeeded{2, 0.163}, "2 screws need blocks; screws that reach 163 mm would do without.",
     "2 screws need blocks; screws that reach 6 7/16 in would do without."},
    {BarkInTheWay{3},
     "Bark or a knot must be cut away at 3 places so that the rail can lie; see the supports and high spots.",
     "Bark or a knot must be cut away at 3 places so that the rail can lie; see the supports and high "
     "spots."},
    {BarkUnseen{14},
     "The scan did not see the bark under 14 screws: measure the gaps there before you trust them.",
     "The scan did not see the bark under 14 screws: measure the gaps there before you trust them."},
    {RailSags{0.00231, 0.0005, 1.239},
     "The rail sags 2.3 mm between its supports, more than the kit allows (0.5 mm): supports no further "
     "apart than 1230 mm would do.",
     "The rail sags 1/16 in between its supports, more than the kit allows (less than 1/16 in): supports no "
     "further apart than 48 7/16 in would do."},
    {KnotsUnderLog{kKnots},
     "Knots or stubs come under the log while it is rolled, from the small end: 31 mm at 1500 mm, 12 mm at "
     "2200 mm; cut them off first, or lift the log over them.",
     "Knots or stubs come under the log while it is rolled, from the small end: 1 1/4 in at 59 1/16 in, 1/2 "
     "in at 86 5/8 in; cut them off first, or lift the log over them."},
    {ButtSwells{0.05},
     "The butt swells by 50 mm more than the log tapers: rolled on the ground the log runs in a curve; bear "
     "it on the stem, not on the swelling.",
     "The butt swells by 1 15/16 in more than the log tapers: rolled on the ground the log runs in a curve; "
     "bear it on the stem, not on the swelling."},
    {KnotsAtRail{kKnots},
     "Knots or stubs stand out under or beside the rail, from the small end: 31 mm at 1500 mm, 12 mm at 2200 "
     "mm.",
     "Knots or stubs stand out under or beside the rail, from the small end: 1 1/4 in at 59 1/16 in, 1/2 in "
     "at 86 5/8 in."},
    {ScrewsOnStubs{{{1, 2, false}, {1, 3, true}}},
     "Screws stand on a stub: the right one of support 2 of rail position 1, the left one of support 3 of "
     "rail position 1; saw it off flush first, and take the gap there from the rail by tape.",
     "Screws stand on a stub: the right one of support 2 of rail position 1, the left one of support 3 of "
     "rail position 1; saw it off flush first, and take the gap there from the rail by tape."},
    {PithAssumed{},
     "The pith was assumed in the middle of each end: set the marks by the top and bottom of the end "
     "instead.",
     "The pith was assumed in the middle of each end: set the marks by the top and bottom of the end "
     "instead."},
    {HeavyPiece{1, 59, 2},
     "The piece that cut 1 takes off weighs about 59 kg, more than two people may lift (23 kg each at best): "
     "slide or lever it.",
     "The piece that cut 1 takes off weighs about 130 lb, more than two people may lift (51 lb each at "
     "best): "
     "slide or lever it."},
    {HeavyLog{213.4},
     "The log weighs about 213 kg: roll it with levers from the uphill side, with nobody below it.",
     "The log weighs about 470 lb: roll it with levers from the uphill side, with nobody below it."},
    {SpeciesUnknown{}, "The species is not known: weights are for the mean of many green species.",
     "The species is not known: weights are for the mean of many green species."}};

}  // namespace

TEST_CASE("every kind of fact has its words, in millimetres and in inches") {
  CHECK(kWords.size() == std::variant_size_v<SetupFact>);
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    CHECK(kWords[i].fact.index() == i);
    CHECK(words(kWords[i].fact, Units::millimetres) == kWords[i].mm);
    CHECK(words(kWords[i].fact, Units::inches) == kWords[i].inches);
  }
}

TEST_CASE("what a kit costs is told with what would mend it") {
  KitCosts costs{10, KitMend{KitMend::Kind::bar, 0.405}, 8};
  CHECK(words(costs, Units::millimetres) ==
        "The best stack (10 boards) cannot be opened and sawn with this kit; with a bar that spans 405 mm it "
        "could. This plan is the best that was found for the kit: 8 boards.");
  costs.mend = KitMend{KitMend::Kind::saw, 0.005};
  costs.boards = 1;
  CHECK(words(costs, Units::inches) ==
        "The best stack (10 boards) cannot be opened and sawn with this kit; with a saw that cuts 3/16 in "
        "deeper it could. This plan is the best that was found for the kit: 1 board.");
  costs = {1, KitMend{KitMend::Kind::screws, 0.01}, 0};
  CHECK(words(costs, Units::millimetres) ==
        "The best stack (1 board) cannot be opened and sawn with this kit; with screws that need 10 mm less "
        "wood above the cut it could. No other stack was found that can: see where the plan is opened, and "
        "why.");
  costs.mend.reset();
  CHECK(
      words(costs, Units::millimetres) ==
      "The best stack (1 board) cannot be opened and sawn with this kit. No other stack was found that can: "
      "see where the plan is opened, and why.");
}

TEST_CASE("why the opening cut goes where it goes is told with what stands against the plane above") {
  SetupSheet sheet;
  sheet.opening_reason = {0.046, {}};
  CHECK(opening_words(sheet, Units::millimetres) ==
        "plane 1, the topmost: every screw finds at least 46 mm above the cut");
  CHECK(opening_words(sheet, Units::inches) ==
        "plane 1, the topmost: every screw finds at least 1 13/16 in above the cut");
  sheet.opening_plane = 1;
  sheet.opening_reason.obstacle = {0, ScrewsLackWood{14, 14, 0.025}};
  CHECK(
      opening_words(sheet, Units::millimetres) ==
      "plane 2: every screw finds at least 46 mm above the cut; over plane 1, 14 of 14 screws would lack "
      "the 25 mm of bark and wood that they need above the cut. The planes above it are sawn from the piece "
      "that comes off, from its flat face");
  sheet.opening_plane = 0;
  sheet.extra_cut_m = 0.059;
  sheet.opening_reason.obstacle = {0, NoRoomForRail{}};
  CHECK(opening_words(sheet, Units::millimetres) ==
        "an extra cut 59 mm above plane 1, the topmost: every screw finds at least 46 mm above the cut; over "
        "plane 1, the saw's depth range leaves no room for the rail above the bark. The extra cut only makes "
        "a flat; plane 1 is sawn next, with the saw on that flat");
  sheet.opening_reason.obstacle = {0, BarkInTheWay{6}};
  CHECK(opening_words(sheet, Units::inches) ==
        "an extra cut 2 5/16 in above plane 1, the topmost: every screw finds at least 1 13/16 in above the "
        "cut; over plane 1, bark would have to be cut away at 6 places before the rail lies. The extra cut "
        "only makes a flat; plane 1 is sawn next, with the saw on that flat");
  sheet.opening_works = false;
  sheet.opening_reason.obstacle = kTooWide;
  CHECK(opening_words(sheet, Units::millimetres) ==
        "no plane of the stack works with this kit; plane 2 is the best compromise: at plane 2, the cut is "
        "320 mm wide and the bar spans 300 mm");
}

TEST_CASE("a kit is told by its name, the plain one as built in") {
  SetupSheet sheet;
  CHECK(kit_words(sheet) == "plain kit (built in)");
  sheet.kit_name = "two-piece ladder rail";
  CHECK(kit_words(sheet) == "two-piece ladder rail");
}

TEST_CASE("a screw's status is told with its amount, rounded up") {
  ScrewPoint screw;
  CHECK(status_words(screw, Units::millimetres) == "ok");
  screw.status = ScrewPoint::Status::packer;
  screw.amount_m = 0.0121;
  CHECK(status_words(screw, Units::millimetres) == "packer 13 mm");
  CHECK(status_words(screw, Units::inches) == "packer 1/2 in");
  screw.amount_m = 0.012;
  CHECK(status_words(screw, Units::millimetres) == "packer 12 mm");
  screw.status = ScrewPoint::Status::no_bearing;
  CHECK(status_words(screw, Units::millimetres) == "no bearing");
}

TEST_CASE("a support has the status of its worse screw, with the side where they differ") {
  using Status = ScrewPoint::Status;
  const auto status = [](Status left, double left_m, Status right, double right_m) {
    return status_words(Support{1, 1, 0, {0.1, 0, left, left_m, true}, {-0.1, 0, right, right_m, true}},
                        Units::millimetres);
  };
  CHECK(status(Status::ok, 0, Status::ok, 0) == "ok");
  CHECK(status(Status::packer, 0.012, Status::packer, 0.012) == "packer 12 mm");
  CHECK(status(Status::packer, 0.012, Status::packer, 0.03) == "packer 30 mm right");
  CHECK(status(Status::ok, 0, Status::packer, 0.012) == "packer 12 mm right");
  CHECK(status(Status::relieve, 0.008, Status::packer, 0.03) == "relieve 8 mm left");
  CHECK(status(Status::relieve, 0.008, Status::no_bearing, 0) == "no bearing right");
  CHECK(status(Status::no_bearing, 0, Status::no_bearing, 0) == "no bearing");
}

TEST_CASE("pieces and what they rest on are named") {
  Piece piece;
  CHECK(piece_words(piece) == "log");
  piece.kind = Piece::Kind::top_piece;
  CHECK(piece_words(piece) == "top piece");
  piece = {Piece::Kind::flitch, 1, 0, false, false, {}, {}};
  CHECK(piece_words(piece) == "flitch 2");
  piece.parted = true;
  CHECK(piece_words(piece) == "flitch 2, length 1");
  piece.window = Piece::kNone;  // the cut that parts it
  piece.cant = true;
  CHECK(piece_words(piece) == "cant 2");
  piece.kind = Piece::Kind::board;
  piece.board = "2a";
  CHECK(piece_words(piece) == "board 2a");
  piece = {Piece::Kind::rest, 2, Piece::kNone, false, true, {}, ShortBoard::Source::small_end};
  CHECK(piece_words(piece) == "small-end piece of cant 3");
  piece.rest = ShortBoard::Source::top_jacket;
  CHECK(piece_words(piece) == "top jacket");

  const auto rests_on = [](Cut::Kind kind, const Piece& of, RestsOn rests, bool turned = false) {
    return rests_on_words({1, kind, of, rests, turned, {}, 0, 0, 0, 0});
  };
  const Piece log;
  const Piece top{Piece::Kind::top_piece, Piece::kNone, Piece::kNone, false, false, {}, {}};
  const Piece cant{Piece::Kind::flitch, 0, 0, false, true, {}, {}};
  const Piece flitch{Piece::Kind::flitch, 0, 0, false, false, {}, {}};
  const Piece board{Piece::Kind::board, 0, 0, false, false, "1a", {}};
  CHECK(rests_on(Cut::Kind::opening, log, RestsOn::supports) == "rail on its supports");
  CHECK(rests_on(Cut::Kind::cant, cant, RestsOn::supports) ==
        "rail on its supports, cant turned a quarter, left side up");
  CHECK(rests_on(Cut::Kind::level, log, RestsOn::sawn_face) == "sawn face of the log");
  CHECK(rests_on(Cut::Kind::level, top, RestsOn::sawn_face, true) ==
        "sawn face of the top piece, turned over flat side up");
  CHECK(rests_on(Cut::Kind::level, piece, RestsOn::rail_on_face, true) ==
        "rail laid on the sawn face of the top jacket, flat side up");
  CHECK(rests_on(Cut::Kind::edging, flitch, RestsOn::sawn_edge) == "sawn edge of the flitch");
  CHECK(rests_on(Cut::Kind::edging, flitch, RestsOn::chalk_line) == "flitch, along a chalk line");
  CHECK(rests_on(Cut::Kind::crosscut, board, RestsOn::bearers) == "bearers, square line across the board");
  piece.rest = ShortBoard::Source::left_edge;
  CHECK(rests_on(Cut::Kind::crosscut, piece, RestsOn::bearers) == "bearers, square line across the piece");
}
