/// The sheet as another program reads it: Poppler's pdftotext and pdftoppm.

#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>

#include "tests/tools/report_fixture.hpp"
#include "tools/report/paint/sheet_pdf.hpp"
#include "tools/report/paint/templates.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/report.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::test;
using Catch::Matchers::Contains;

namespace {

/// A PDF on disk for as long as it is read.
class PdfFile {
 public:
  explicit PdfFile(const std::string& bytes)
      : path_(std::filesystem::temp_directory_path() /
              ("flitchwise_sheet_test_" + std::to_string(getpid()) + ".pdf")) {
    std::ofstream(path_, std::ios::binary) << bytes;
  }
  ~PdfFile() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  PdfFile(const PdfFile&) = delete;
  PdfFile& operator=(const PdfFile&) = delete;

  /// What a program of Poppler prints about it; {} stands for the file.
  std::string read_by(const std::string& program) const {
    const std::size_t place = program.find("{}");
    REQUIRE(place != std::string::npos);
    std::string command = program;
    command.replace(place, 2, "'" + path_.string() + "'");
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string bytes;
    std::array<char, 65536> buffer;
    for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
      bytes.append(buffer.data(), n);
    }
    REQUIRE(pclose(pipe) == 0);
    return bytes;
  }

 private:
  std::filesystem::path path_;
};

struct Word {
  double left = 0, top = 0, right = 0, bottom = 0;
  std::string text;
};
struct Page {
  double width = 0, height = 0;
  std::vector<Word> words;
};

std::vector<Page> pages_of(const PdfFile& pdf) {
  const std::string html = pdf.read_by("pdftotext -bbox {} -");
  static const std::regex tag(
      "<page width=\"([0-9.]+)\" height=\"([0-9.]+)\">|<word xMin=\"([0-9.-]+)\" yMin=\"([0-9.-]+)\" "
      "xMax=\"([0-9.-]+)\" yMax=\"([0-9.-]+)\">([^<]*)</word>");
  std::vector<Page> pages;
  for (std::sregex_iterator at(html.begin(), html.end(), tag), end; at != end; ++at) {
    const auto number = [&](std::size_t i) { return std::stod((*at)[i]); };
    if ((*at)[1].matched) {
      pages.push_back({number(1), number(2), {}});
    } else {
      pages.back().words.push_back({number(3), number(4), number(5), number(6), (*at)[7]});
    }
  }
  return pages;
}

/// The boxes are those of the font, which leaves room above and below the letters.
bool overlap(const Word& a, const Word& b) {
  constexpr double kShare = 0.28;
  constexpr double kTouch = 0.3;
  const auto top = [](const Word& w) { return w.top + kShare * (w.bottom - w.top); };
  const auto bottom = [](const Word& w) { return w.bottom - kShare * (w.bottom - w.top); };
  return a.left < b.right - kTouch && b.left < a.right - kTouch && top(a) < bottom(b) && top(b) < bottom(a);
}

/// Every word within the margins, none over another.
void check_layout(const std::vector<Page>& pages) {
  constexpr double kMargin = 36;
  for (std::size_t p = 0; p < pages.size(); ++p) {
    const Page& page = pages[p];
    for (std::size_t i = 0; i < page.words.size(); ++i) {
      const Word& word = page.words[i];
      CAPTURE(p + 1, word.text);
      CHECK(word.left >= kMargin);
      CHECK(word.right <= page.width - kMargin);
      CHECK(word.top >= kMargin);
      CHECK(word.bottom <= page.height - kMargin);
      std::string over;
      for (std::size_t j = i + 1; j < page.words.size(); ++j) {
        over += overlap(word, page.words[j]) ? page.words[j].text + ' ' : "";
      }
      CHECK(over.empty());
    }
  }
}

/// A grey picture of one page.
struct Image {
  int width = 0;
  int height = 0;
  std::string pixels;
  bool ink(int x, int y) const {
    return static_cast<unsigned char>(pixels[static_cast<std::size_t>(y * width + x)]) < 128;
  }
};

std::vector<Image> images_of(const PdfFile& pdf, const std::string& options) {
  std::istringstream stream(pdf.read_by("pdftoppm -gray " + options + " {}"));
  std::vector<Image> images;
  for (std::string magic; stream >> magic;) {
    REQUIRE(magic == "P5");
    Image image;
    int most = 0;
    stream >> image.width >> image.height >> most;
    stream.get();
    image.pixels.resize(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height));
    stream.read(image.pixels.data(), static_cast<std::streamsize>(image.pixels.size()));
    REQUIRE(stream);
    images.push_back(std::move(image));
  }
  return images;
}

/// All text of the sheet in one line.
std::string text_of(const Report& report) {
  std::istringstream text(PdfFile(sheet_pdf(report)).read_by("pdftotext -raw {} -"));
  std::string line;
  for (std::string word; text >> word;) {
    line += word + ' ';
  }
  return line;
}

}  // namespace

TEST_CASE("the sheet's words fit its pages and do not overlap, on both papers and in both units") {
  for (const std::uint64_t seed : {3U, 7U, 12U}) {
    ReportedLog made = made_by_solver(seed);
    CAPTURE(seed);
    for (const Paper paper : {Paper::a4, Paper::letter}) {
      for (const Units units : {Units::millimetres, Units::inches}) {
        Report report = made.report();
        report.paper = paper;
        report.units = units;
        const PdfFile pdf(sheet_pdf(report));
        const std::vector<Page> pages = pages_of(pdf);
        REQUIRE(pages.size() >= 7);
        CHECK_THAT(pages[0].width, Catch::Matchers::WithinAbs(paper == Paper::a4 ? 595.28 : 612, 0.01));
        CHECK_THAT(pages[0].height, Catch::Matchers::WithinAbs(paper == Paper::a4 ? 841.89 : 792, 0.01));
        check_layout(pages);
      }
    }
  }
}

TEST_CASE("a warning or two that run over do not get a page of their own") {
  ReportedLog made = made_by_solver(3);
  bool shared = false;
  for (int count = 0; count < 20; ++count) {
    made.sheet.warnings.clear();
    for (int i = 1; i <= count; ++i) {
      made.sheet.warnings.emplace_back(solver::TooFewSupports{i, 1});
    }
    const std::vector<Page> pages = pages_of(PdfFile(sheet_pdf(made.report())));
    check_layout(pages);
    const auto says = [](const Page& page, const std::string& text) {
      return std::any_of(page.words.begin(), page.words.end(),
                         [&](const Word& word) { return word.text == text; });
    };
    const bool over = says(pages[1], "continued");
    CAPTURE(count);
    CHECK((!over || pages[1].words.size() > 40));
    shared = shared || (over && says(pages[1], "Kickback:"));
  }
  CHECK(shared);
}

TEST_CASE("the sheets of a cant and of an extra opening cut fit, too, and tell what is different") {
  ReportedLog cant = made_by_solver(7);
  solver::SearchOptions options;
  options.pattern = solver::Pattern::cant;
  options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
  options.most_nodes = 500;
  options.tolerance_m = 0.005;
  cant.plan = solver::search(
      cant.log, {{"50x150x3000", 0.05, 0.15, 3.0, 2}, {"25x150x3000", 0.025, 0.15, 3.0, 1}}, options);
  cant.sheet = solver::set_up(cant.log, cant.plan, solver::plain_kit(), cant.tolerance);
  REQUIRE(cant.sheet.cant_rails.size() == 1);
  ReportedLog extra = made_by_solver(7);
  solver::Kit kit = solver::plain_kit();
  kit.saw_depth_max_m = 0.13;
  kit.bracket_width_m = 0.25;
  kit.bracket_height_m = 0.03;
  extra.plan = solver::plan_at(extra.log, {{"50x150x3000", 0.05, 0.15, 3.0}}, {}, {0.7, 0.005, 0.03});
  extra.sheet = solver::set_up(extra.log, extra.plan, kit, extra.tolerance);
  REQUIRE(extra.sheet.extra_cut_m > 0);
  for (const ReportedLog* made : {&cant, &extra}) {
    for (const Units units : {Units::millimetres, Units::inches}) {
      Report report = made->report();
      report.paper = Paper::letter;
      report.units = units;
      check_layout(pages_of(PdfFile(sheet_pdf(report))));
    }
  }
  CHECK_THAT(text_of(cant.report()),
             Contains("Turn cant") && Contains("Gaps from the rail's underside down to "
                                               "the cant's bark"));
  const std::string text = text_of(extra.report());
  CHECK_THAT(text, Contains("An extra cut 29 mm above plane 1") &&
                       Contains("These are the marks of the extra cut, 29 mm above the first plane") &&
                       Contains("log, extra cut for a flat"));
}

TEST_CASE("nothing is drawn into the sheet's margins") {
  const ReportedLog made = made_by_solver(7);
  const PdfFile pdf(sheet_pdf(made.report()));
  constexpr double kPixelsAPoint = 1;
  const std::vector<Image> images = images_of(pdf, "-r 72");
  CHECK(images.size() >= 7);
  for (const Image& image : images) {
    const int margin = static_cast<int>(30 * kPixelsAPoint);
    int dark = 0;
    int in_margin = 0;
    for (int y = 0; y < image.height; ++y) {
      for (int x = 0; x < image.width; ++x) {
        const bool inside =
            x >= margin && y >= margin && x < image.width - margin && y < image.height - margin;
        dark += image.ink(x, y) ? 1 : 0;
        in_margin += image.ink(x, y) && !inside ? 1 : 0;
      }
    }
    CHECK(dark > 100);
    CHECK(in_margin == 0);
  }
}

TEST_CASE("templates are printed at 1:1: check bar and outline measured in the PDF") {
  ReportedLog made = made_by_hand();
  // A small end of 120 mm across, which fits one sheet; 720 corners stand for the circle.
  constexpr double kRadius = 0.06;
  for (Station& station : made.log.stations) {
    const Eigen::Index n = 720;
    station.centre_m.setZero();
    station.bark_radius_m = Eigen::VectorXd::Constant(n, kRadius);
    station.wood_radius_m = Eigen::VectorXd::Constant(n, kRadius - 0.01);
    station.bark_sigma_m = station.wood_sigma_m = Eigen::VectorXd::Constant(n, 0.001);
    station.seen.assign(n, 1);
  }
  made.log.pith.small_end_m.setZero();
  made.log.pith.large_end_m.setZero();
  made.sheet.kit.rail_width_m = 0.08;
  made.sheet.small_end.above_pith_m = 0.02;
  made.sheet.small_end.bracket_above_pith_m = 0.08;
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    Report report = made.report();
    report.paper = paper;
    const PdfFile pdf(templates_pdf(report));
    const Image image = images_of(pdf, "-r 254 -f 1 -l 1").front();  // 10 pixels a millimetre
    int bar = 0;
    int left = image.width;
    int right = 0;
    for (int y = 0; y < image.height; ++y) {
      int run = 0;
      for (int x = 0; x < image.width; ++x) {
        run = image.ink(x, y) ? run + 1 : 0;
        bar = y > image.height * 9 / 10 ? std::max(bar, run) : bar;
      }
    }
    // The circle's widest level: 20 mm below the cut line, the page's only line as long as the drawing.
    int cut = 0;
    int longest = 0;
    for (int y = 0; y < image.height * 9 / 10; ++y) {
      int ink = 0;
      for (int x = 0; x < image.width; ++x) {
        ink += image.ink(x, y) ? 1 : 0;
      }
      if (ink > longest) {
        longest = ink;
        cut = y;
      }
    }
    for (int y = cut + 200 - 5 + 30; y < cut + 200 + 5 + 30; ++y) {  // 3 mm beside the pith's level line
      for (int x = 0; x < image.width; ++x) {
        left = image.ink(x, y) ? std::min(left, x) : left;
        right = image.ink(x, y) ? std::max(right, x) : right;
      }
    }
    CHECK_THAT(bar / 10.0, Catch::Matchers::WithinAbs(100, 0.2));
    const double chord_mm = 2 * std::sqrt(60.0 * 60 - 3.0 * 3);  // and the line's own 0.3 mm
    CHECK_THAT((right - left + 1) / 10.0, Catch::Matchers::WithinAbs(chord_mm + 0.3, 0.2));
  }
}

TEST_CASE("the templates of a thick log go over several sheets with a check bar on each") {
  const ReportedLog made = made_by_solver(7);
  const PdfFile pdf(templates_pdf(made.report()));
  const std::vector<Page> pages = pages_of(pdf);
  CHECK(pages.size() >= 4);
  for (const Page& page : pages) {
    std::string text;
    for (const Word& word : page.words) {
      text += word.text + ' ';
    }
    CHECK_THAT(text, Contains("This bar is 100 mm long"));
  }
}

TEST_CASE("the sheet says what the plan says") {
  const ReportedLog made = made_by_hand();
  const std::string text = text_of(made.report());
  CHECK_THAT(text, Contains("2 boards of 50x150x3000 mm"));
  CHECK_THAT(text, Contains("Not proven: between 2 and 3"));
  CHECK_THAT(text, Contains("Leave the log as it lies"));
  CHECK_THAT(text, Contains("packer 12 mm left"));
  CHECK_THAT(text, Contains("The scan did not see the bark here"));
  CHECK_THAT(text, Contains("may be off by 2.4 mm at the small end and 13 mm at the large end"));
  CHECK_THAT(text, Contains("140 mm for cut 1; 59 mm for cut 2"));
  CHECK_THAT(text, Contains("Kickback"));
  CHECK_THAT(text, Contains("page 1 of"));
  CHECK(sheet_pdf(made.report()) == sheet_pdf(made.report()));
}

TEST_CASE("a kit in inches gives a sheet in inches that says exactly its figures") {
  // Common practice, no source: a nominal 2x6 sawn rough at about 1.8 in thick; the opening cut set about 2.5
  // in deeper than the normal one; a string 1.75 in above the rail plane from a 1.5 in block and a 0.25 in
  // gauge.
  constexpr double kInch = 0.0254;
  ReportedLog made = made_by_solver(7);
  const solver::Target target{"45.72x147x3000", 1.8 * kInch, 0.147, 3.0};
  made.plan = solver::plan_at(made.log, {target}, {}, {0.7, 0.005, 0.11});
  made.plan.proof.boards = static_cast<int>(made.plan.boards.size());
  made.plan.proof.upper_bound = made.plan.proof.boards + 1;
  made.plan.proof.upper_value = made.plan.proof.upper_bound;
  solver::Kit kit = solver::plain_kit();
  kit.opening_deeper_m = 2.5 * kInch;
  kit.truing = solver::Kit::Truing::string;
  kit.string_height_m = 1.75 * kInch;
  kit.gauge_m = 0.25 * kInch;
  made.sheet = solver::set_up(made.log, made.plan, kit, made.tolerance);
  Report report = made.report();
  report.units = Units::inches;
  const std::string text = text_of(report);
  CHECK_THAT(text, Contains("1 13/16 x 5 13/16 x 118 1/8"));
  REQUIRE(made.sheet.cuts.size() > 1);
  const double opening_m = made.sheet.cuts[0].saw_depth_m;
  const double normal_m = made.sheet.cuts[1].saw_depth_m;
  CHECK_THAT(opening_m - normal_m, Catch::Matchers::WithinAbs(2.5 * kInch, 1e-9));
  CHECK_THAT(normal_m, Catch::Matchers::WithinAbs(1.8 * kInch + 0.0045, 1e-9));  // and half the kerf
  CHECK_THAT(text, Contains("The opening cut is set 2 1/2 in deeper than the normal cut (" +
                            inches(opening_m) + " in and " + inches(normal_m) + " in)."));
  CHECK_THAT(
      text,
      Contains("1 3/4 in above the rail's underside at both: a block of 1 1/2 in and a gauge of 1/4 in"));
  CHECK_THAT(text, !Contains(" mm "));
}
