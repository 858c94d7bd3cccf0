#include "tools/report/paint/pages.hpp"

#include <algorithm>
#include <cctype>
#include <numeric>
#include <sstream>
#include <utility>

#include "tools/report/paint/scene_painter.hpp"

namespace flitchwise::report {
namespace {

constexpr double kLineSpacing = 1.3;
constexpr double kAscent = 0.8;  // of a line, above its base line
constexpr double kTickBox = 14;
constexpr double kTickColumn = 26;
constexpr double kCellPad = 4;

/// "1/16" after "17", and a unit after its number: a length is not broken at the end of a line.
bool belongs_to(const std::string& before, const std::string& word) {
  const bool number = std::isdigit(static_cast<unsigned char>(before.back())) != 0;
  const bool fraction =
      std::isdigit(static_cast<unsigned char>(word.front())) != 0 && word.find('/') != std::string::npos;
  return number && (fraction || word.starts_with("mm") || word.starts_with("in,") || word == "in" ||
                    word.starts_with("in.") || word.starts_with("in;") || word.starts_with("kg") ||
                    word.starts_with("lb"));
}

}  // namespace

Eigen::Vector2d paper_size(Paper paper) {
  // ISO 216: 210 x 297 mm; letter: 8 1/2 x 11 in.
  constexpr double kPointsAMm = 72 / 25.4;
  return paper == Paper::letter ? Eigen::Vector2d(612, 792)
                                : Eigen::Vector2d(210 * kPointsAMm, 297 * kPointsAMm);
}

Pages::Pages(cairo_t* context, const Eigen::Vector2d& size, std::string foot, int count)
    : cairo_(context), pen_(context), size_(size), foot_(std::move(foot)), of_(count) {}

void Pages::draw_foot() {
  constexpr double kSize = 10;
  const double base = size_.y() - kMargin;
  pen_.line({kMargin, base - kFoot + 4}, {size_.x() - kMargin, base - kFoot + 4}, Pen::kThin);
  const std::string page = "page " + std::to_string(page_) + (of_ > 0 ? " of " + std::to_string(of_) : "");
  const double room = width() - pen_.text_width(page, kSize) - 20;
  std::string foot = foot_;
  while (!foot.empty() && pen_.text_width(foot, kSize) > room) {
    foot.erase(0, 1);  // the end of a long path says most
  }
  pen_.text(foot, {kMargin, base - 2}, kSize);
  pen_.text(page, {size_.x() - kMargin - pen_.text_width(page, kSize), base - 2}, kSize);
}

void Pages::turn_over() {
  if (page_ > 0) {
    draw_foot();
    cairo_show_page(cairo_);
  }
  ++page_;
  y_ = kMargin;
}

void Pages::start(const std::string& title, Topic topic) {
  // What only just ran over to a page of its own leaves room there for a step that is words alone.
  const double little = topic == Topic::care ? 0.22 : topic == Topic::boards ? 0.4 : 0;  // of the page
  if (title_.ends_with(", continued") && y_ < little * size_.y()) {
    y_ += kTitle;
    head(title);
  } else {
    begin(title);
  }
}

void Pages::begin(const std::string& title) {
  turn_over();
  head(title);
}

void Pages::head(const std::string& title) {
  title_ = title;
  for (const std::string& line : wrapped(title, kTitle, width(), true)) {
    y_ += kTitle * kLineSpacing;
    pen_.text(line, {kMargin, y_ - kTitle * (kLineSpacing - kAscent)}, kTitle, true);
  }
  pen_.line({kMargin, y_ + 2}, {size_.x() - kMargin, y_ + 2}, Pen::kMedium);
  y_ += 14;
}

void Pages::finish() {
  draw_foot();
  cairo_show_page(cairo_);
}

void Pages::make_room(double height) {
  if (y_ + height > bottom()) {
    const std::string title = title_;
    begin(title.ends_with(", continued") ? title : title + ", continued");
  }
}

std::vector<std::string> Pages::wrapped(const std::string& words, double size, double room, bool bold) {
  std::vector<std::string> lines(1);
  std::istringstream text(words);
  std::vector<std::string> pieces;
  for (std::string word; text >> word;) {
    if (!pieces.empty() && belongs_to(pieces.back(), word)) {
      pieces.back() += ' ' + word;
    } else {
      pieces.push_back(word);
    }
  }
  for (const std::string& word : pieces) {
    const std::string longer = lines.back().empty() ? word : lines.back() + ' ' + word;
    if (lines.back().empty() || pen_.text_width(longer, size, bold) <= room) {
      lines.back() = longer;
    } else {
      lines.push_back(word);
    }
  }
  return lines;
}

void Pages::heading(const std::string& words) {
  constexpr double kBefore = 8;
  constexpr double kFollowing = 60;  // not alone at the foot of a page
  make_room(kBefore + kLarge * kLineSpacing + kFollowing);
  y_ += kBefore + kLarge * kLineSpacing;
  pen_.text(words, {kMargin, y_ - kLarge * (kLineSpacing - kAscent)}, kLarge, true);
  y_ += 3;
}

void Pages::paragraph(const std::string& words, double size, bool bold) {
  if (words.empty()) {
    return;
  }
  const auto lines = wrapped(words, size, width(), bold);
  const double height = static_cast<double>(lines.size()) * size * kLineSpacing;
  if (height < (bottom() - kMargin) / 2) {
    make_room(height);  // not a few lines on a page of their own
  }
  for (const std::string& line : lines) {
    make_room(size * kLineSpacing);
    y_ += size * kLineSpacing;
    pen_.text(line, {kMargin, y_ - size * (kLineSpacing - kAscent)}, size, bold);
  }
  y_ += 4;
}

void Pages::box(double left, double top, double side) {
  pen_.path({{left, top}, {left + side, top}, {left + side, top + side}, {left, top + side}}, true,
            {.weight = Pen::kMedium});
}

void Pages::tick(const std::string& words, double size) {
  const auto lines = wrapped(words, size, width() - kTickColumn, false);
  const double height = std::max(static_cast<double>(lines.size()) * size * kLineSpacing, kTickBox);
  make_room(height + 5);
  box(kMargin, y_ + 1, kTickBox);
  for (const std::string& line : lines) {
    y_ += size * kLineSpacing;
    pen_.text(line, {kMargin + kTickColumn, y_ - size * (kLineSpacing - kAscent)}, size);
  }
  y_ += 5;
}

void Pages::figure(const std::string& label, const std::string& words) {
  constexpr double kLabelShare = 0.25;
  const double left = kMargin + kLabelShare * width();
  const auto lines = wrapped(words, kLarge, width() * (1 - kLabelShare), true);
  const double height = static_cast<double>(lines.size()) * kLarge * kLineSpacing + 6;
  make_room(height);
  double base = y_ + kLarge;
  pen_.text(label, {kMargin, base}, kBody);
  for (const std::string& line : lines) {
    pen_.text(line, {left, base}, kLarge, true);
    base += kLarge * kLineSpacing;
  }
  y_ += height;
}

std::vector<double> Pages::column_widths(const std::vector<Column>& columns, bool ticks) const {
  const double shares = std::accumulate(columns.begin(), columns.end(), 0.0,
                                        [](double sum, const Column& column) { return sum + column.share; });
  std::vector<double> widths;
  for (const Column& column : columns) {
    widths.push_back((width() - (ticks ? kTickColumn : 0)) * column.share / shares);
  }
  return widths;
}

double Pages::row_height(const Row& cells, const std::vector<double>& widths, double size, bool head) {
  std::size_t lines = 1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    lines = std::max(lines, wrapped(cells[i], size, widths[i] - 2 * kCellPad, head).size());
  }
  return static_cast<double>(lines) * size * kLineSpacing + 2 * kCellPad;
}

void Pages::row(const std::vector<Column>& columns, const Row& cells, const std::vector<double>& widths,
                double size, bool head, bool ticks) {
  const double height = row_height(cells, widths, size, head);
  double left = kMargin + (ticks ? kTickColumn : 0);
  if (ticks && !head) {
    box(kMargin + 2, y_ + (height - kTickBox) / 2, kTickBox);
  }
  for (std::size_t i = 0; i < cells.size(); ++i) {
    double base = y_ + kCellPad + size;
    for (const std::string& line : wrapped(cells[i], size, widths[i] - 2 * kCellPad, head)) {
      const double inset =
          columns[i].right ? widths[i] - kCellPad - pen_.text_width(line, size, head) : kCellPad;
      pen_.text(line, {left + inset, base}, size, head);
      base += size * kLineSpacing;
    }
    left += widths[i];
  }
  y_ += height;
  pen_.line({kMargin, y_}, {size_.x() - kMargin, y_}, head ? Pen::kMedium : Pen::kThin);
}

void Pages::table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks, double size) {
  const std::vector<double> widths = column_widths(columns, ticks);
  constexpr double kHeadSize = 11;
  Row head;
  for (const Column& column : columns) {
    head.push_back(column.title);
  }
  const double head_height = row_height(head, widths, kHeadSize, true);
  bool headed = false;
  for (const Row& cells : rows) {
    const double height = row_height(cells, widths, size, false) + (headed ? 0 : head_height);
    if (y_ + height > bottom()) {
      make_room(height);
      headed = false;
    }
    if (!headed) {
      row(columns, head, widths, kHeadSize, true, ticks);
      headed = true;
    }
    row(columns, cells, widths, size, false, ticks);
  }
  y_ += 8;
}

void Pages::drawing(const Report& report, const Drawing& what) {
  constexpr double kText = 11;
  constexpr double kAfter = 8;
  constexpr double kRoll = 240;
  constexpr double kLeastEnd = 172;
  Eigen::Vector2d most(width(), bottom() - kMargin);
  if (what.kind == Drawing::Kind::roll) {
    most.y() = kRoll;
  } else if (what.kind == Drawing::Kind::ends) {
    const double words_under = report.sheet.brackets.left_to_right_m > 0 ? 190 : 125;
    most.y() = std::max((bottom() - y_ - words_under) / 2 - kAfter, kLeastEnd);
  }
  const std::vector<Scene> scenes = scenes_of(report, what);
  const Style& style = what.kind == Drawing::Kind::ends ? sheet_end_style() : sheet_style();
  const TitledScenes titled(pen_, scenes, style, kText, most);
  for (std::size_t i = 0; i < scenes.size(); ++i) {
    make_room(titled.height(i));
    titled.paint(i, {kMargin, y_});
    y_ += titled.height(i) + kAfter;
  }
}

}  // namespace flitchwise::report
