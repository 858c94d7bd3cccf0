#pragma once
/// The sheet's steps in words, in the order of the work, for any SheetOutput.

#include <optional>
#include <string>
#include <vector>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {

class SheetWriter {
 public:
  SheetWriter(SheetOutput& output, const Report& report)
      : output_(output), report_(report), sheet_(report.sheet) {}

  void write();

 private:
  std::string length(double length_m) const { return length_text(report_.units, length_m); }
  std::string bare(double length_m) const { return bare_length(report_.units, length_m); }
  std::string with_unit(const std::string& title) const { return title + ' ' + unit_name(report_.units); }
  bool pith_assumed() const { return report_.log.pith.source == Pith::Source::assumed_middle; }

  // sheet_setup.cpp: from the answer to the rail
  std::string mark_words(const solver::EndMark& mark) const;
  void answer();
  void care();
  void roll();
  void roll_steps();
  void mark();
  void rail_place(const std::string& end, const solver::EndMark& mark, bool large_end);
  void brackets();
  void rail(std::size_t position);
  std::string gap(const solver::ScrewPoint& screw) const;
  /// A support's status with what stands at the place already.
  std::string status(const solver::Support& support) const;
  void supports(int position);
  void support_table(const std::vector<solver::Support>& supports, bool string);
  void high_spots(const solver::RailPosition& here);
  void screw_faults(int position);
  void sag();
  std::string sag_words() const;

  // sheet_cuts.cpp: from the planes to the boards
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

  SheetOutput& output_;
  const Report& report_;
  const solver::SetupSheet& sheet_;
  int step_ = 1;  ///< number of the next page's step
};

/// With a capital letter.
std::string capital(std::string words);

}  // namespace flitchwise::report
