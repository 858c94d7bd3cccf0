#include <algorithm>
#include <cmath>

#include "tools/report/sheet_writer.hpp"
#include "tools/report/short_words.hpp"
#include "tools/report/words.hpp"

namespace flitchwise::report {

std::string capital(std::string words) {
  if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') {
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  }
  return words;
}

void SheetWriter::write() {
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

std::string SheetWriter::mark_words(const solver::EndMark& mark) const {
  const std::string top =
      length(std::abs(mark.below_top_m)) + (mark.below_top_m < 0 ? " above the top" : " down from the top");
  const std::string pith =
      length(std::abs(mark.above_pith_m)) + (mark.above_pith_m < 0 ? " below the pith" : " above the pith");
  return pith_assumed() ? top : top + ", " + pith;
}

void SheetWriter::answer() {
  output_.start(boards_words(report_), Topic::answer);
  output_.paragraph(proof_words(report_), SheetOutput::kLarge, true);
  output_.paragraph(margin_words(report_));
  output_.paragraph(by_eye_words(report_));
  output_.paragraph(short_boards_words(report_));
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
                            weight_text(report_.units, sheet_.log_weight_kg));
  output_.figure("Kit", sheet_.kit_name);
  if (!sheet_.opening_reason.empty()) {
    output_.heading("Why the first cut goes here");
    output_.paragraph(in_units(report_.units, capital(sheet_.opening_reason)) + '.');
  }
  const auto warnings = all_warnings(report_, report_.units);
  if (!warnings.empty()) {
    output_.heading("Warnings");
    for (const std::string& warning : warnings) {
      output_.tick(warning);
    }
  }
}

void SheetWriter::care() {
  output_.start("Take care", Topic::care);
  for (const std::string& caution : cautions(report_)) {
    output_.paragraph(caution, 13);
  }
  output_.heading("Check before the first cut");
  for (const std::string& check : checks_before_start(report_)) {
    output_.tick(check, 13);
  }
}

void SheetWriter::roll() {
  output_.start("1  Lay the log", Topic::roll);
  output_.tick("Lay the log on firm bearers, with room for the saw's nose under the lowest cut.", 13);
  if (!is_rolled(sheet_)) {
    output_.tick("Leave it as it lay when it was scanned, and block it on both sides.", 13);
  } else {
    roll_steps();
  }
  output_.tick("Block the log on both sides.", 13);
}

void SheetWriter::roll_steps() {
  const bool clockwise = sheet_.roll_rad > 0;
  output_.tick(
      "Before it is rolled: draw a level line across each end face, with a level or a phone. Mark the top "
      "of the log at the middle of its length.",
      13);
  output_.tick("Measure " + length(std::abs(sheet_.bark_walk_m)) + " along the bark from that mark to the " +
                   (sheet_.bark_walk_m > 0 ? "left" : "right") +
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

void SheetWriter::mark() {
  output_.start("2  Mark both ends", Topic::ends);
  output_.paragraph("With the log rolled and blocked, hang a plumb line over each end face through the " +
                    std::string(pith_assumed()
                                    ? "middle of the end (the pith was not given; use the distances from "
                                      "top and bottom)"
                                    : "pith") +
                    ". Measure along it, over bark, and draw the cut line level across. Lengths in " +
                    unit_name(report_.units) + '.');
  output_.drawing(report_, {Drawing::Kind::ends, 0});
  output_.paragraph("A mark may be off by " + tolerance_words(report_.units, report_.tolerance.small_end_m) +
                        " at the small end and " +
                        tolerance_words(report_.units, report_.tolerance.large_end_m) +
                        " at the large end before the plan can no longer promise every board.",
                    13, true);
  if (sheet_.extra_cut_m > 0) {
    output_.paragraph("These are the marks of the extra cut, " + length(sheet_.extra_cut_m) +
                      " above the first plane that makes boards.");
  }
  rail_place("small end", sheet_.small_end, false);
  rail_place("large end", sheet_.large_end, true);
  brackets();
}

void SheetWriter::rail_place(const std::string& end, const solver::EndMark& mark, bool large_end) {
  const bool left = (mark.rail_left_m > 0) != large_end;
  const std::string off = bare(std::abs(mark.rail_left_m));
  output_.tick("Middle of the rail at the " + end + ": " +
               (off == "0" ? "on the plumb line."
                           : length(std::abs(mark.rail_left_m)) + " to the " + (left ? "left" : "right") +
                                 " of the plumb line, as you face that end."));
}

void SheetWriter::brackets() {
  const solver::BracketCheck& check = sheet_.brackets;
  if (!(check.left_to_right_m > 0)) {
    return;
  }
  constexpr double kSlantM = 0.01;  // solver/SETUP.md: 95 % of the strings' lengths
  output_.tick(
      "Both brackets parallel: stretch two strings crosswise between the corners of their upper edges. Left "
      "at the small end to right at the large end: about " +
      length(check.left_to_right_m) + "; right to left: about " + length(check.right_to_left_m) +
      " (a scan shows how the ends slant to about " + length(kSlantM) +
      "). Where they cross they touch; a gap shows twist, and more than " +
      tolerance_words(report_.units, check.most_gap_m) + " costs a board.");
}

void SheetWriter::rail(std::size_t position) {
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

std::string SheetWriter::gap(const solver::ScrewPoint& screw) const {
  const std::string gap = bare(screw.gap_m);
  return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
}

std::string SheetWriter::status(const solver::Support& support) const {
  if (support.x_m < 0 || support.x_m > report_.log.usable_length_m()) {
    return "off the log";
  }
  std::string words = in_units(report_.units, support_status(support));
  if (support.same_place_as > 0) {
    words += ", where support " + std::to_string(support.same_place_as) + " stood";
  }
  return words;
}

void SheetWriter::supports(int position) {
  std::vector<solver::Support> here;
  for (const solver::Support& support : sheet_.supports) {
    if (support.rail_position == position) {
      here.push_back(support);
    }
  }
  support_table(here, sheet_.kit.truing == solver::Kit::Truing::string);
}

void SheetWriter::support_table(const std::vector<solver::Support>& supports, bool string) {
  const double figure = report_.units == Units::inches ? 2.3 : 1.5;  // of the width, beside the number's 1
  std::vector<SheetOutput::Column> columns = {{"No.", 1, true},
                                              {with_unit("at"), figure + 0.2, true},
                                              {with_unit("left"), figure, true},
                                              {with_unit("right"), figure, true},
                                              {"do", string ? 3.2 : 4.0}};
  if (string) {
    columns.push_back({"gauge", 3.1});
  }
  std::vector<SheetOutput::Row> rows;
  bool unseen = false;
  for (const solver::Support& support : supports) {
    rows.push_back({std::to_string(support.support), bare(support.x_m), gap(support.left), gap(support.right),
                    status(support)});
    if (string) {
      const bool bears = !gap(support.left).starts_with('-') || !gap(support.right).starts_with('-');
      rows.back().push_back(bears ? gauge_feel(report_.units, support) : "-");
    }
    unseen = unseen || rows.back()[2].ends_with('?') || rows.back()[3].ends_with('?');
  }
  output_.table(columns, rows, true, report_.units == Units::inches ? 13 : 16);
  if (unseen) {
    output_.paragraph("?  The scan did not see the bark here: measure the gap yourself.");
  }
}

void SheetWriter::high_spots(const solver::RailPosition& here) {
  constexpr double kStretchM = 0.1;  // shorter ones are a place
  for (const solver::HighSpot& spot : sheet_.high_spots) {
    const bool nothing = bare(spot.cut_away_m) == "0";
    if (spot.x_m >= here.start_x_m && spot.x_m <= here.end_x_m && !nothing) {
      const bool stretch = spot.to_x_m - spot.from_x_m > kStretchM;
      output_.tick("Cut away " + length(spot.cut_away_m) + " of bark or knot under the rail, " +
                       (stretch ? "at most, from " + bare(spot.from_x_m) + " to " + length(spot.to_x_m)
                                : length(spot.x_m)) +
                       " from the small end (black triangle).",
                   13);
    }
  }
}

void SheetWriter::screw_faults(int position) {
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

void SheetWriter::sag() {
  output_.paragraph(
      "Between its supports the rail sags " + sag_words() +
      " under itself and the saw (beam on two supports, uniform load and a load in the middle: Mott, "
      "Machine Elements in Mechanical Design, Table A14-1); supports up to " +
      length(std::floor(sheet_.longest_span_m * 100) / 100) + " apart keep it within the kit's " +
      in_units(report_.units, mm(sheet_.kit.most_sag_m, 1) + " mm") + '.');
}

std::string SheetWriter::sag_words() const {
  constexpr double kLeastShownM = 0.0001;
  if (sheet_.rail_sag_m < kLeastShownM) {
    return report_.units == Units::inches ? "less than 1/16 in" : "less than 0.1 mm";
  }
  return "by " + in_units(report_.units, mm(sheet_.rail_sag_m, 1) + " mm");
}

}  // namespace flitchwise::report
