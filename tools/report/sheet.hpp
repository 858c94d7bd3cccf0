#pragma once
/// The sheet's steps, for paper and for the page.

#include <string>
#include <vector>

#include "tools/report/report.hpp"
#include "tools/report/scene/drawings.hpp"

namespace flitchwise::report {

/// What a step of the sheet is about.
enum class Topic { answer, care, roll, ends, rail, planes, flitches, boards };

/// Takes the sheet's steps one after another: pages of paper, or the page for the browser.
class SheetOutput {
 public:
  static constexpr double kBody = 12;  // sizes of text, points
  static constexpr double kLarge = 15;

  struct Column {
    std::string title;
    double share = 1;  ///< of the width that the columns share
    bool right = false;
  };
  using Row = std::vector<std::string>;

  SheetOutput() = default;
  SheetOutput(const SheetOutput&) = delete;
  SheetOutput& operator=(const SheetOutput&) = delete;
  virtual ~SheetOutput() = default;

  virtual void start(const std::string& title, Topic topic) = 0;
  virtual void heading(const std::string& words) = 0;
  virtual void paragraph(const std::string& words, double size, bool bold) = 0;
  /// A box to tick, then the words.
  virtual void tick(const std::string& words, double size) = 0;
  /// A label and a large figure beside it.
  virtual void figure(const std::string& label, const std::string& words) = 0;
  /// With a box to tick in the first column if `ticks`.
  virtual void table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks,
                     double size) = 0;
  virtual void drawing(const Report& report, const Drawing& what) = 0;
  virtual void skip(double height) = 0;

  void paragraph(const std::string& words, double size = kBody) { paragraph(words, size, false); }
  void tick(const std::string& words) { tick(words, kBody); }
};

/// The whole sheet, step by step, in the order of the work and in the report's units.
void write_steps(SheetOutput& output, const Report& report);

}  // namespace flitchwise::report
