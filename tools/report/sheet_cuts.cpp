#include "tools/report/sheet_cuts.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "tools/report/cut_words.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/sheet_supports.hpp"
#include "tools/report/sheet_writer.hpp"

namespace flitchwise::report {
namespace {

/// Two supports at least find bearing on the cant.
bool bears_twice(const solver::CantRail& rail) {
  using Status = solver::ScrewPoint::Status;
  return std::count_if(rail.supports.begin(), rail.supports.end(), [](const solver::Support& support) {
           return support.left.status != Status::no_bearing || support.right.status != Status::no_bearing;
         }) >= 2;
}

/// From the planes to the boards.
class CutSteps : SheetWriter {
 public:
  using SheetWriter::SheetWriter;
  void write();

 private:
  void saw();
  bool is_cant(const solver::FlitchLayout& layout) const;
  std::string next_step(const std::string& title);
  /// One cant: turned, trued and sawn from its left side down.
  void turn_cants();
  void cant_steps(const solver::FlitchLayout& layout, const std::string& name);
  /// How the rail lies over the first line of one length.
  void cant_rail(const solver::CantRail& rail, bool parted);
  void edge();
  /// The cuts of one cant, or of all that are edged.
  void cut_table(std::optional<std::size_t> cant);
  /// What is done to the piece, and on what.
  static std::string cut_words(const solver::Cut& cut);
  void bring_home();
  double density() const;

  int step_ = 5;  ///< number of the next page's step
};

void CutSteps::write() {
  saw();
  turn_cants();
  edge();
  bring_home();
}

void CutSteps::saw() {
  output_.start("4  Saw the planes", Topic::planes);
  std::string settings = "Saw depth, from the face that the saw rides on to the middle of the cut: ";
  const auto depths = depth_settings(report_);
  for (std::size_t i = 0; i < depths.size(); ++i) {
    settings += (i == 0 ? "" : "; ") + depths[i];
  }
  const std::string count = settings_count(report_);
  output_.paragraph(
      settings + (count.empty() ? "" : " (" + count + ")") + ". " + opening_depth_words(report_), 13, true);
  output_.paragraph(
      "Before the first cut write each flitch's number, the right way up, between its lines on the "
      "small end. Compare each cut's width with the table as soon as the saw is in: where it is more than "
      "a finger off, the saw is not where it was planned; stop and measure.");
  std::vector<SheetOutput::Row> rows;
  for (const solver::Cut& cut : sheet_.cuts) {
    if (is_level(cut)) {
      const bool extra = sheet_.extra_cut_m > 0 && cut.kind == solver::Cut::Kind::opening;
      rows.push_back(
          {std::to_string(cut.order),
           piece_words(cut.piece) + (extra ? ", extra cut for a flat, on " : ", on ") + rests_on_words(cut),
           bare_depth(units_, cut.saw_depth_m), bare(cut.width_m), bare_weight(units_, cut.piece_weight_kg)});
    }
  }
  output_.table({{"Cut", 1, true},
                 {"what is sawn, and what rail or saw rest on", 5},
                 {with_unit("depth"), 1.7, true},
                 {with_unit("width"), 1.7, true},
                 {"comes off " + weight_unit(units_), 1.4, true}},
                rows, true, 13);
  output_.paragraph("Width: of the widest place of the cut, over bark; the bar spans " +
                    length(sheet_.kit.saw_usable_bar_m) + ".");
}

bool CutSteps::is_cant(const solver::FlitchLayout& layout) const {
  return report_.plan.flitches[layout.flitch].kind == solver::Flitch::Kind::cant;
}

std::string CutSteps::next_step(const std::string& title) {
  return std::to_string(step_++) + "  " + title;
}

void CutSteps::turn_cants() {
  for (std::size_t i = 0; i < sheet_.flitches.size(); ++i) {
    const solver::FlitchLayout& layout = sheet_.flitches[i];
    if (!is_cant(layout)) {
      continue;
    }
    const std::string name = "cant " + std::to_string(layout.flitch + 1);
    output_.start(next_step("Turn and saw " + name), Topic::flitches);
    output_.paragraph(
        "The cant from above as it lay in the log: small end at the left, full line the upper face, dotted "
        "the lower one. Its boards stand on edge. Figures beside the ends: from the left bark edge of the "
        "upper face (at the top of the drawing) to the middle of each cut, where the boards begin and "
        "where "
        "they end, in " +
        unit_name(units_) + '.');
    output_.drawing(report_, {Drawing::Kind::flitch, i});
    cant_steps(layout, name);
    output_.heading("Cuts on " + name);
    cut_table(layout.flitch);
  }
}

void CutSteps::cant_steps(const solver::FlitchLayout& layout, const std::string& name) {
  const bool parted = layout.windows.size() > 1;
  output_.tick(
      "Before it is turned: snap the first cut's line on the upper face and draw it square down both "
      "ends" +
      std::string(parted ? ", for each length by itself; then cut the lengths apart." : "."));
  output_.tick("Turn " + name + " (about " + weight_text(units_, layout.weight_kg) +
               (parted ? " before it is parted" : "") +
               ") a quarter clockwise, seen from the small end: its left side comes up. Wedge it on both "
               "sides, sawn faces upright by a level.");
  for (const solver::CantRail& rail : sheet_.cant_rails) {
    if (rail.flitch == layout.flitch) {
      cant_rail(rail, parted);
    }
  }
  output_.tick("Saw every further cut from the face sawn before, and do not turn the cant again.");
}

void CutSteps::cant_rail(const solver::CantRail& rail, bool parted) {
  output_.tick((parted ? "Length " + std::to_string(rail.window + 1) + ": lay" : "Lay") +
               std::string(" the rail on its supports along the line, its underside ") +
               length(rail.rail_height_m) + " above the line at both ends: saw depth " +
               bare_depth(units_, rail.rail_height_m + sheet_.kit.rail_height_m) + ' ' + unit_name(units_) +
               '.');
  if (rail.bark_places > 0) {
    output_.tick("Bark or knots reach up to the rail at " +
                 counted(static_cast<std::size_t>(rail.bark_places), "place") + ": cut them away.");
  }
  if (!bears_twice(rail)) {
    output_.tick(
        "The cant is too narrow for the screws of two supports: clamp boards across it that stand out on "
        "both "
        "sides, level and in one plane, and set the supports on them.");
    return;
  }
  output_.paragraph(
      "Gaps from the rail's underside down to the cant's bark; left and right as you look from the small "
      "end, "
      "cant turned. Distances from the log's small end.");
  write_supports(output_, report_, rail.supports, false);
}

void CutSteps::edge() {
  const bool any = std::any_of(sheet_.flitches.begin(), sheet_.flitches.end(),
                               [&](const solver::FlitchLayout& layout) { return !is_cant(layout); });
  if (!any) {
    return;
  }
  output_.start(next_step("Edge the flitches"), Topic::flitches);
  output_.paragraph(
      "Each flitch from above as it lay in the log: small end at the left, full line the upper face, "
      "dotted the lower one. Figures beside the ends: from the left "
      "bark edge of the upper face (at the top of the drawing) to the middle of each edging cut, where "
      "the boards begin and where they end, in " +
      unit_name(units_) + ". Snap a chalk line between both.");
  for (std::size_t i = 0; i < sheet_.flitches.size(); ++i) {
    if (!is_cant(sheet_.flitches[i])) {
      output_.drawing(report_, {Drawing::Kind::flitch, i});
    }
  }
  output_.heading("Cuts on the flitches");
  cut_table(std::nullopt);
}

void CutSteps::cut_table(std::optional<std::size_t> cant) {
  std::vector<SheetOutput::Row> rows;
  for (const solver::Cut& cut : sheet_.cuts) {
    const bool here = is_on_cant(cut) ? cut.piece.flitch == cant : !cant;
    if (!is_level(cut) && here) {
      rows.push_back({std::to_string(cut.order), piece_words(cut.piece) + ": " + cut_words(cut),
                      cut.saw_depth_m > 0 ? bare_depth(units_, cut.saw_depth_m) : "-",
                      bare_weight(units_, cut.piece_weight_kg)});
    }
  }
  output_.table({{"Cut", 1, true},
                 {"what", 6},
                 {with_unit("depth"), 1.4, true},
                 {"comes off " + weight_unit(units_), 1.4, true}},
                rows, true, 12);
}

std::string CutSteps::cut_words(const solver::Cut& cut) {
  switch (cut.kind) {
    case solver::Cut::Kind::edging:
      return "edge, on " + rests_on_words(cut);
    case solver::Cut::Kind::crosscut:
      return "cut to length, square across";
    default:
      return (lies_on_rail(cut) ? "saw, " : "saw, on ") + rests_on_words(cut);
  }
}

void CutSteps::bring_home() {
  constexpr double kCubicMetresABoardFoot = 0.3048 * 0.3048 * 0.0254;  // 1 ft x 1 ft x 1 in
  output_.start(next_step("Bring home"), Topic::boards);
  std::vector<SheetOutput::Row> rows;
  for (const solver::Board& board : report_.plan.boards) {
    Eigen::Vector3d thick = board.corners_m[3] - board.corners_m[0];
    Eigen::Vector3d wide = board.corners_m[1] - board.corners_m[0];
    if (report_.plan.flitches[board.flitch].kind == solver::Flitch::Kind::cant) {
      std::swap(thick, wide);  // it stood on edge
    }
    const Eigen::Vector3d along = board.corners_m[4] - board.corners_m[0];
    rows.push_back({board.id, bare(thick.norm()) + " x " + bare(wide.norm()) + " x " + bare(along.norm()),
                    std::to_string(board.flitch + 1),
                    bare_weight(units_, thick.norm() * wide.norm() * along.norm() * density())});
  }
  for (const solver::ShortBoard& board : report_.plan.short_boards) {
    const Eigen::Vector3d size = size_of(report_.plan, board);
    rows.push_back({board.id, bare(size.x()) + " x " + bare(size.y()) + " x " + bare(size.z()),
                    source_words(report_.plan, board), bare_weight(units_, size.prod() * density())});
  }
  const solver::WoodBalance& wood = sheet_.balance;
  const double board_feet = wood.boards_m3 / kCubicMetresABoardFoot;
  output_.figure("Boards", counted(report_.plan.boards.size(), "board") + ", " + fixed(wood.boards_m3, 3) +
                               " m\u00B3, " + fixed(board_feet, 0) + " board feet");
  output_.figure("Yield", fixed(100 * wood.yield(), 0) + " % of the log's " + fixed(wood.log_m3, 3) +
                              " m\u00B3 over bark");
  output_.figure("Sawdust", fixed(wood.sawdust_m3, 3) + " m\u00B3");
  output_.figure("Sawn area", fixed(wood.sawn_m2, 1) + " m\u00B2: fuel and sharpening go by this");
  output_.skip(6);
  output_.table({{"Board", 1.4},
                 {with_unit("rough, green,"), 4},
                 {"from flitch or cant", 2.4, true},
                 {weight_unit(units_), 1.2, true}},
                rows, true, 14);
}

double CutSteps::density() const {
  return sheet_.balance.log_m3 > 0 ? sheet_.log_weight_kg / sheet_.balance.log_m3 : 0;
}

}  // namespace

void write_cut_steps(SheetOutput& output, const Report& report) {
  CutSteps(output, report).write();
}

}  // namespace flitchwise::report
