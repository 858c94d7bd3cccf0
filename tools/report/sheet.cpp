#include "report/sheet.hpp"

#include <cairo-pdf.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <utility>

#include "flitchwise/errors.hpp"
#include "report/words.hpp"

namespace flitchwise::report {
namespace {

struct SurfaceDestroyer {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextDestroyer {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

std::string capital(std::string words) {
  if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') {
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  }
  return words;
}

/// The sheet page by page, in the order of the work.
class SheetWriter {
 public:
  SheetWriter(SheetOutput& output, const Report& report)
      : output_(output), report_(report), sheet_(report.sheet) {}

  void write() {
    answer();
    care();
    roll();
    mark();
    for (std::size_t i = 0; i < sheet_.rail_positions.size(); ++i) {
      rail(i);
    }
    saw();
    step_ = 5;
    turn_cants();
    edge();
    bring_home();
  }

 private:
  std::string length(double length_m) const { return length_text(report_.units, length_m); }
  std::string bare(double length_m) const { return bare_length(report_.units, length_m); }
  std::string with_unit(const std::string& title) const { return title + ' ' + unit_name(report_.units); }
  bool pith_assumed() const { return report_.log.pith.source == Pith::Source::assumed_middle; }

  std::string mark_words(const solver::EndMark& mark) const {
    const std::string top =
        length(std::abs(mark.below_top_m)) + (mark.below_top_m < 0 ? " above the top" : " down from the top");
    const std::string pith =
        length(std::abs(mark.above_pith_m)) + (mark.above_pith_m < 0 ? " below the pith" : " above the pith");
    return pith_assumed() ? top : top + ", " + pith;
  }

  void answer() {
    output_.start(boards_words(report_), Topic::answer);
    output_.paragraph(proof_words(report_), SheetOutput::kLarge, true);
    output_.paragraph(margin_words(report_));
    output_.paragraph(by_eye_words(report_));
    output_.skip(6);
    output_.figure("Roll", capital(roll_words(report_)));
    output_.figure("Cut line, small end", mark_words(sheet_.small_end));
    output_.figure("Cut line, large end", mark_words(sheet_.large_end));
    output_.figure("Rail", "its underside " + length(sheet_.rail_height_m) + " above the cut, at both ends");
    if (const solver::Cut* cut = opening_cut(sheet_)) {
      output_.figure("Saw",
                     "depth " + length(cut->saw_depth_m) + "; cut up to " + length(cut->width_m) + " wide");
    }
    output_.figure("Log", length(report_.log.length_m) + " long, " +
                              length(report_.log.small_end_diameter_m()) + " and " +
                              length(report_.log.large_end_diameter_m()) + " thick over bark, about " +
                              fixed(sheet_.log_weight_kg, 0) + " kg");
    output_.figure("Kit", sheet_.kit_name);
    if (!sheet_.opening_reason.empty()) {
      output_.heading("Why the first cut goes here");
      output_.paragraph(in_units(report_.units, capital(sheet_.opening_reason)) + '.');
    }
    const auto warnings = all_warnings(report_);
    if (!warnings.empty()) {
      output_.heading("Warnings");
      for (const std::string& warning : warnings) {
        output_.tick(in_units(report_.units, warning));
      }
    }
    what_limits();
  }

  void what_limits() {
    const auto limits = limit_words(report_);
    if (!limits.empty()) {
      output_.heading("What limits this plan");
    }
    for (const std::string& words : limits) {
      output_.paragraph(words);
    }
  }

  void care() {
    output_.start("Take care", Topic::care);
    for (const std::string& caution : cautions(report_)) {
      output_.paragraph(caution, 13);
    }
    output_.heading("Check before the first cut");
    for (const std::string& check : checks_before_start(report_)) {
      output_.tick(check, 13);
    }
  }

  void roll() {
    output_.start("1  Lay the log", Topic::roll);
    output_.tick("Lay the log on firm bearers, with room for the saw's nose under the lowest cut.", 13);
    if (!is_rolled(sheet_)) {
      output_.tick("Leave it as it lay when it was scanned, and block it on both sides.", 13);
    } else {
      roll_steps();
    }
    output_.tick("Block the log on both sides.", 13);
  }

  void roll_steps() {
    const bool clockwise = sheet_.roll_rad > 0;
    output_.tick(
        "Before it is rolled: draw a level line across each end face, with a level or a phone. Mark the top "
        "of the log at the middle of its length.",
        13);
    output_.tick("Measure " + length(std::abs(sheet_.bark_walk_m)) +
                     " along the bark from that mark to the " + (sheet_.bark_walk_m > 0 ? "left" : "right") +
                     ", as you look from the small end to the large end, and mark the new top there.",
                 13);
    output_.tick("Keep " + length(std::abs(sheet_.bark_walk_m)) + " of ground clear on the log's " +
                     (clockwise ? "right" : "left") + ": so far it moves on level ground.",
                 13);
    output_.tick(capital("turn the log " + roll_angle(sheet_) + " degrees " +
                         (clockwise ? "clockwise" : "anticlockwise") +
                         ", seen from the small end, until the new mark is on top."),
                 13);
    output_.tick(
        "Check: a level with an angle scale, or a phone, laid on the lines that were level now reads " +
            roll_angle(sheet_) + " degrees at both ends. At the small end the line's " +
            (clockwise ? "right" : "left") + " side is low as you face it, at the large end its " +
            (clockwise ? "left" : "right") + " side.",
        13);
    output_.drawing(report_, {Drawing::Kind::roll, 0});
    output_.skip(8);
  }

  void mark() {
    output_.start("2  Mark both ends", Topic::ends);
    output_.paragraph("With the log rolled and blocked, hang a plumb line over each end face through the " +
                      std::string(pith_assumed()
                                      ? "middle of the end (the pith was not given; use the distances from "
                                        "top and bottom)"
                                      : "pith") +
                      ". Measure along it, over bark, and draw the cut line level across. Lengths in " +
                      unit_name(report_.units) + '.');
    output_.drawing(report_, {Drawing::Kind::ends, 0});
    output_.paragraph(
        "A mark may be off by " + tolerance_words(report_.units, report_.tolerance.small_end_m) +
            " at the small end and " + tolerance_words(report_.units, report_.tolerance.large_end_m) +
            " at the large end before a board is lost.",
        13, true);
    rail_place("small end", sheet_.small_end, false);
    rail_place("large end", sheet_.large_end, true);
    brackets();
  }

  void rail_place(const std::string& end, const solver::EndMark& mark, bool large_end) {
    const bool left = (mark.rail_left_m > 0) != large_end;
    const std::string off = bare(std::abs(mark.rail_left_m));
    output_.tick("Middle of the rail at the " + end + ": " +
                 (off == "0" ? "on the plumb line."
                             : length(std::abs(mark.rail_left_m)) + " to the " + (left ? "left" : "right") +
                                   " of the plumb line, as you face that end."));
  }

  void brackets() {
    const solver::BracketCheck& check = sheet_.brackets;
    if (!(check.left_to_right_m > 0)) {
      return;
    }
    output_.tick(
        "Both brackets parallel: stretch two strings crosswise between the corners of their upper edges. "
        "Left "
        "at the small end to right at the large end: " +
        length(check.left_to_right_m) + "; right to left: " + length(check.right_to_left_m) +
        ". Where they cross they touch; a gap shows twist, and more than " +
        tolerance_words(report_.units, check.most_gap_m) + " costs a board.");
  }

  void rail(std::size_t position) {
    const bool many = sheet_.rail_positions.size() > 1;
    const solver::RailPosition& here = sheet_.rail_positions[position];
    output_.start("3  Set the rail" + (many ? ", position " + std::to_string(position + 1) + " of " +
                                                  std::to_string(sheet_.rail_positions.size())
                                            : std::string()),
                  Topic::rail);
    if (position == 0) {
      output_.paragraph(
          "Gaps from the rail's underside straight down to the bark, where each screw stands; left and "
          "right as you look from the small end to the large end. Distances from the small end.");
      if (const std::string truing = truing_words(report_); !truing.empty()) {
        output_.paragraph(truing);
      }
    } else {
      output_.paragraph(
          "Move the rail on when the saw has come to the end of the position before. Its first " +
          length(here.overlap_m) +
          " lies over the cut already made: let the saw run back into it, and the depth must agree there.");
    }
    output_.drawing(report_, {Drawing::Kind::rail, position});
    supports(static_cast<int>(position) + 1);
    high_spots(here);
    screw_faults(static_cast<int>(position) + 1);
    if (position == 0) {
      sag();
    }
  }

  std::string gap(const solver::ScrewPoint& screw) const {
    const std::string gap = bare(screw.gap_m);
    return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
  }

  /// A support's status with what stands at the place already.
  std::string status(const solver::Support& support) const {
    std::string words = in_units(report_.units, support_status(support));
    if (support.same_place_as > 0) {
      words += ", where support " + std::to_string(support.same_place_as) + " stood";
    }
    return words;
  }

  void supports(int position) {
    const bool string = sheet_.kit.truing == solver::Kit::Truing::string;
    const double figure = report_.units == Units::inches ? 2.3 : 1.5;  // of the width, beside the number's 1
    std::vector<SheetOutput::Column> columns = {{"No.", 1, true},
                                                {with_unit("at"), figure + 0.2, true},
                                                {with_unit("left"), figure, true},
                                                {with_unit("right"), figure, true},
                                                {"do", 4}};
    if (string) {
      columns.push_back({"gauge", 2.6});
    }
    std::vector<SheetOutput::Row> rows;
    bool unseen = false;
    for (const solver::Support& support : sheet_.supports) {
      if (support.rail_position == position) {
        rows.push_back({std::to_string(support.support), bare(support.x_m), gap(support.left),
                        gap(support.right), status(support)});
        if (string) {
          const bool bears = !gap(support.left).starts_with('-') || !gap(support.right).starts_with('-');
          rows.back().push_back(bears ? gauge_feel(report_.units, support) : "-");
        }
        unseen = unseen || rows.back()[2].ends_with('?') || rows.back()[3].ends_with('?');
      }
    }
    output_.table(columns, rows, true, report_.units == Units::inches ? 13 : 16);
    if (unseen) {
      output_.paragraph("?  The scan did not see the bark here: measure the gap yourself.");
    }
  }

  void high_spots(const solver::RailPosition& here) {
    for (const solver::HighSpot& spot : sheet_.high_spots) {
      if (spot.x_m >= here.start_x_m && spot.x_m <= here.end_x_m) {
        output_.tick("Cut away " + length(spot.cut_away_m) + " of bark or knot under the rail, " +
                         length(spot.x_m) + " from the small end (black triangle).",
                     13);
      }
    }
  }

  void screw_faults(int position) {
    for (const solver::ScrewFault& fault : sheet_.screw_faults) {
      if (fault.rail_position == position) {
        const std::string where =
            "Support " + std::to_string(fault.support) + (fault.left ? " left: " : " right: ");
        output_.tick(fault.most_bite_m > 0
                         ? where + "the screw would end too near to the cut; one that goes no deeper than " +
                               length(fault.most_bite_m) + " below the bark will do."
                         : where + "no screw here, the cut is too near.",
                     13);
      }
    }
  }

  void sag() {
    output_.paragraph(
        "Between its supports the rail sags " + sag_words() +
        " under itself and the saw (beam on two supports, uniform load and a load in the middle: Mott, "
        "Machine Elements in Mechanical Design, Table A14-1); supports up to " +
        length(std::floor(sheet_.longest_span_m * 100) / 100) + " apart keep it within the kit's " +
        in_units(report_.units, mm(sheet_.kit.most_sag_m, 1) + " mm") + '.');
  }

  std::string sag_words() const {
    constexpr double kLeastShownM = 0.0001;
    if (sheet_.rail_sag_m < kLeastShownM) {
      return report_.units == Units::inches ? "less than 1/16 in" : "less than 0.1 mm";
    }
    return "by " + in_units(report_.units, mm(sheet_.rail_sag_m, 1) + " mm");
  }

  void saw() {
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
        rows.push_back({std::to_string(cut.order), cut.piece + ", on " + cut.rests_on,
                        bare_depth(report_.units, cut.saw_depth_m), bare(cut.width_m),
                        fixed(cut.piece_weight_kg, 0)});
      }
    }
    output_.table({{"Cut", 1, true},
                   {"what is sawn, and what rail or saw rest on", 5},
                   {with_unit("depth"), 1.7, true},
                   {with_unit("width"), 1.7, true},
                   {"comes off kg", 1.4, true}},
                  rows, true, 13);
    output_.paragraph("Width: of the widest place of the cut, over bark; the bar spans " +
                      length(sheet_.kit.saw_usable_bar_m) + ".");
  }

  bool is_cant(const solver::FlitchLayout& layout) const {
    return report_.plan.flitches[layout.flitch].kind == solver::Flitch::Kind::cant;
  }

  std::string next_step(const std::string& title) { return std::to_string(step_++) + "  " + title; }

  /// One cant: turned, trued and sawn from its left side down.
  void turn_cants() {
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
          unit_name(report_.units) + '.');
      output_.drawing(report_, {Drawing::Kind::flitch, i});
      cant_steps(layout, name);
      output_.heading("Cuts on " + name);
      cut_table(layout.flitch);
    }
  }

  void cant_steps(const solver::FlitchLayout& layout, const std::string& name) {
    const bool parted = layout.windows.size() > 1;
    output_.tick(
        "Before it is turned: snap the first cut's line on the upper face and draw it square down both "
        "ends" +
        std::string(parted ? ", for each length by itself; then cut the lengths apart." : "."));
    output_.tick("Turn " + name + " (about " + fixed(layout.weight_kg, 0) + " kg" +
                 (parted ? " before it is parted" : "") +
                 ") a quarter clockwise, seen from the small end: its left side comes up. Wedge it on both "
                 "sides, sawn faces upright by a level.");
    for (const solver::EdgingWindow& window : layout.windows) {
      first_cant_cut(layout, window, parted);
    }
    output_.tick("Saw every further cut from the face sawn before, and do not turn the cant again.");
  }

  /// How high the rail lies over the first line of one length.
  void first_cant_cut(const solver::FlitchLayout& layout, const solver::EdgingWindow& window, bool parted) {
    for (const solver::Cut& cut : sheet_.cuts) {
      if (cut.kind == solver::Cut::Kind::cant && cut.flitch == layout.flitch && cut.window == window.window) {
        output_.tick((parted ? "Length " + std::to_string(window.window + 1) + ": lay" : "Lay") +
                     std::string(" the rail on its supports along the line, its underside ") +
                     length(cut.saw_depth_m - sheet_.kit.rail_height_m) +
                     " above the line at both ends: saw depth " + bare_depth(report_.units, cut.saw_depth_m) +
                     ' ' + unit_name(report_.units) + '.');
        return;
      }
    }
  }

  void edge() {
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
        unit_name(report_.units) + ". Snap a chalk line between both.");
    for (std::size_t i = 0; i < sheet_.flitches.size(); ++i) {
      if (!is_cant(sheet_.flitches[i])) {
        output_.drawing(report_, {Drawing::Kind::flitch, i});
      }
    }
    output_.heading("Cuts on the flitches");
    cut_table(std::nullopt);
  }

  /// The cuts of one cant, or of all that are edged.
  void cut_table(std::optional<std::size_t> cant) {
    std::vector<SheetOutput::Row> rows;
    for (const solver::Cut& cut : sheet_.cuts) {
      const bool here = cant ? cut.flitch == *cant : !is_on_cant(report_, cut);
      if (!is_level(cut) && here) {
        rows.push_back({std::to_string(cut.order), cut.piece + cut_verb(cut) + cut.rests_on,
                        cut.saw_depth_m > 0 ? bare_depth(report_.units, cut.saw_depth_m) : "-",
                        fixed(cut.piece_weight_kg, 0)});
      }
    }
    output_.table(
        {{"Cut", 1, true}, {"what", 6}, {with_unit("depth"), 1.4, true}, {"comes off kg", 1.4, true}}, rows,
        true, 12);
  }

  static std::string cut_verb(const solver::Cut& cut) {
    switch (cut.kind) {
      case solver::Cut::Kind::edging:
        return ": edge, on ";
      case solver::Cut::Kind::crosscut:
        return ": cut to length, ";
      default:
        return cut.rests_on.starts_with("rail") ? ": saw, " : ": saw, on ";
    }
  }

  void bring_home() {
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
                      fixed(thick.norm() * wide.norm() * along.norm() * density(), 0)});
    }
    output_.table({{"Board", 1.4},
                   {with_unit("rough, green,"), 4},
                   {"from flitch or cant", 1.8, true},
                   {"kg", 1.2, true}},
                  rows, true, 14);
    const solver::WoodBalance& wood = sheet_.balance;
    const double board_feet = wood.boards_m3 / kCubicMetresABoardFoot;
    output_.figure("Boards", counted(report_.plan.boards.size(), "board") + ", " + fixed(wood.boards_m3, 3) +
                                 " m\u00B3, " + fixed(board_feet, 0) + " board feet");
    output_.figure("Yield", fixed(100 * wood.yield(), 0) + " % of the log's " + fixed(wood.log_m3, 3) +
                                " m\u00B3 over bark");
    output_.figure("Sawdust", fixed(wood.sawdust_m3, 3) + " m\u00B3");
    output_.figure("Sawn area", fixed(wood.sawn_m2, 1) + " m\u00B2: fuel and sharpening go by this");
  }

  double density() const {
    return sheet_.balance.log_m3 > 0 ? sheet_.log_weight_kg / sheet_.balance.log_m3 : 0;
  }

  SheetOutput& output_;
  const Report& report_;
  const solver::SetupSheet& sheet_;
  int step_ = 1;  ///< number of the next page's step
};

/// Writes the PDF; returns how many pages it has.
int render(const Report& report, int count, std::string& bytes) {
  const Eigen::Vector2d size = paper_size(report.paper);
  const std::unique_ptr<cairo_surface_t, SurfaceDestroyer> surface(
      cairo_pdf_surface_create_for_stream(append, &bytes, size.x(), size.y()));
  // Cairo would stamp the hour into the file; the same plan must give the same bytes.
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "1970-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, "Flitchwise setup sheet");
  const std::unique_ptr<cairo_t, ContextDestroyer> context(cairo_create(surface.get()));
  Pages pages(context.get(), size, report.scan.file, count);
  write_steps(pages, report);
  pages.finish();
  cairo_surface_finish(surface.get());
  for (const cairo_status_t status : {cairo_status(context.get()), cairo_surface_status(surface.get())}) {
    if (status != CAIRO_STATUS_SUCCESS) {
      throw InputError(std::string("The sheet cannot be drawn: ") + cairo_status_to_string(status) + ".");
    }
  }
  return pages.count();
}

}  // namespace

void write_steps(SheetOutput& output, const Report& report) {
  SheetWriter(output, report).write();
}

std::string sheet_pdf(const Report& report) {
  check(report);
  std::string scratch;
  const int count = render(report, 0, scratch);
  std::string bytes;
  render(report, count, bytes);
  return bytes;
}

}  // namespace flitchwise::report
