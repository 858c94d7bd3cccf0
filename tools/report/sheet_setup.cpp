#include "tools/report/sheet_setup.hpp"

#include <cmath>

#include "tools/report/advice_words.hpp"
#include "tools/report/cut_words.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/setup_words.hpp"
#include "tools/report/sheet_supports.hpp"
#include "tools/report/sheet_words.hpp"
#include "tools/report/sheet_writer.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {

namespace {

/// With a capital letter.
std::string capital(std::string words) {
  if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') {
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  }
  return words;
}

/// From the answer to the rail.
class SetupSteps : SheetWriter {
 public:
  using SheetWriter::SheetWriter;
  void write();

 private:
  bool pith_assumed() const { return report_.log.pith.source == Pith::Source::assumed_middle; }
  std::string mark_words(const solver::EndMark& mark) const;
  void answer();
  void warnings();
  void care();
  void roll();
  void roll_steps();
  void mark();
  void rail_place(const std::string& end, const solver::EndMark& mark, bool large_end);
  void brackets();
  void rail(std::size_t position);
  void supports(int position);
  void high_spots(const solver::RailPosition& here);
  void screw_faults(int position);
  void sag();
  std::string sag_words() const;
};

void SetupSteps::write() {
  answer();
  care();
  roll();
  mark();
  for (std::size_t i = 0; i < sheet_.rail_positions.size(); ++i) {
    rail(i);
  }
}

std::string SetupSteps::mark_words(const solver::EndMark& mark) const {
  const std::string top =
      length(std::abs(mark.below_top_m)) + (mark.below_top_m < 0 ? " above the top" : " down from the top");
  const std::string pith =
      length(std::abs(mark.above_pith_m)) + (mark.above_pith_m < 0 ? " below the pith" : " above the pith");
  return pith_assumed() ? top : top + ", " + pith;
}

void SetupSteps::answer() {
  output_.start(boards_words(units_, report_.plan), Topic::answer);
  output_.paragraph(proof_words(units_, report_.plan), SheetOutput::kLarge, true);
  output_.paragraph(margin_words(units_, report_.plan));
  output_.paragraph(by_eye_words(report_));
  output_.paragraph(short_boards_words(units_, report_.plan));
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
                            weight_text(units_, sheet_.log_weight_kg));
  output_.figure("Kit", kit_words(sheet_));
  output_.heading("Why the first cut goes here");
  output_.paragraph(capital(opening_words(sheet_, units_)) + '.');
  warnings();
}

void SetupSteps::warnings() {
  const auto all = all_warnings(report_, units_);
  if (!all.empty()) {
    output_.heading("Warnings");
  }
  for (const std::string& warning : all) {
    output_.tick(warning);
  }
}

void SetupSteps::care() {
  output_.start("Take care", Topic::care);
  for (const std::string& caution : cautions(report_)) {
    output_.paragraph(caution, 13);
  }
  output_.heading("Check before the first cut");
  for (const std::string& check : checks_before_start(report_)) {
    output_.tick(check, 13);
  }
}

void SetupSteps::roll() {
  output_.start("1  Lay the log", Topic::roll);
  output_.tick("Lay the log on firm bearers, with room for the saw's nose under the lowest cut.", 13);
  if (!is_rolled(sheet_)) {
    output_.tick("Leave it as it lay when it was scanned, and block it on both sides.", 13);
  } else {
    roll_steps();
  }
  output_.tick("Block the log on both sides.", 13);
}

void SetupSteps::roll_steps() {
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

void SetupSteps::mark() {
  output_.start("2  Mark both ends", Topic::ends);
  output_.paragraph("With the log rolled and blocked, hang a plumb line over each end face through the " +
                    std::string(pith_assumed()
                                    ? "middle of the end (the pith was not given; use the distances from "
                                      "top and bottom)"
                                    : "pith") +
                    ". Measure along it, over bark, and draw the cut line level across. Lengths in " +
                    unit_name(units_) + '.');
  output_.drawing(report_, {Drawing::Kind::ends, 0});
  output_.paragraph("A mark may be off by " + tolerance_words(units_, report_.tolerance.small_end_m) +
                        " at the small end and " + tolerance_words(units_, report_.tolerance.large_end_m) +
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

void SetupSteps::rail_place(const std::string& end, const solver::EndMark& mark, bool large_end) {
  const bool left = (mark.rail_left_m > 0) != large_end;
  const std::string off = bare(std::abs(mark.rail_left_m));
  output_.tick("Middle of the rail at the " + end + ": " +
               (off == "0" ? "on the plumb line."
                           : length(std::abs(mark.rail_left_m)) + " to the " + (left ? "left" : "right") +
                                 " of the plumb line, as you face that end."));
}

void SetupSteps::brackets() {
  const solver::BracketCheck& check = sheet_.brackets;
  if (!(check.left_to_right_m > 0)) {
    return;
  }
  constexpr double kSlant_m = 0.01;  // solver/SETUP.md: 95 % of the strings' lengths
  output_.tick(
      "Both brackets parallel: stretch two strings crosswise between the corners of their upper edges. Left "
      "at the small end to right at the large end: about " +
      length(check.left_to_right_m) + "; right to left: about " + length(check.right_to_left_m) +
      " (a scan shows how the ends slant to about " + length(kSlant_m) +
      "). Where they cross they touch; a gap shows twist, and more than " +
      tolerance_words(units_, check.most_gap_m) + " costs a board.");
}

void SetupSteps::rail(std::size_t position) {
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

void SetupSteps::supports(int position) {
  std::vector<solver::Support> here;
  for (const solver::Support& support : sheet_.supports) {
    if (support.rail_position == position) {
      here.push_back(support);
    }
  }
  write_supports(output_, report_, here, sheet_.kit.truing == solver::Kit::Truing::string);
}

void SetupSteps::high_spots(const solver::RailPosition& here) {
  constexpr double kStretch_m = 0.1;  // shorter ones are a place
  for (const solver::HighSpot& spot : sheet_.high_spots) {
    const bool nothing = bare(spot.cut_away_m) == "0";
    if (spot.x_m >= here.start_x_m && spot.x_m <= here.end_x_m && !nothing) {
      const bool stretch = spot.to_x_m - spot.from_x_m > kStretch_m;
      output_.tick("Cut away " + length(spot.cut_away_m) + " of bark or knot under the rail, " +
                       (stretch ? "at most, from " + bare(spot.from_x_m) + " to " + length(spot.to_x_m)
                                : length(spot.x_m)) +
                       " from the small end (black triangle).",
                   13);
    }
  }
}

void SetupSteps::screw_faults(int position) {
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

void SetupSteps::sag() {
  output_.paragraph(
      "Between its supports the rail sags " + sag_words() +
      " under itself and the saw (beam on two supports, uniform load and a load in the middle: Mott, "
      "Machine Elements in Mechanical Design, Table A14-1); supports up to " +
      length(std::floor(sheet_.longest_span_m * 100) / 100) + " apart keep it within the kit's " +
      fine_length(units_, sheet_.kit.most_sag_m) + '.');
}

std::string SetupSteps::sag_words() const {
  constexpr double kLeastShown_m = 0.0001;
  const bool nothing = units_ == Units::millimetres && sheet_.rail_sag_m < kLeastShown_m;
  return nothing ? "less than 0.1 mm" : "by " + fine_length(units_, sheet_.rail_sag_m);
}

}  // namespace

void write_setup_steps(SheetOutput& output, const Report& report) {
  SetupSteps(output, report).write();
}

}  // namespace flitchwise::report
