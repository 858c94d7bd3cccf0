#include <catch2/catch.hpp>

#include "tests/scan/read_support.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

constexpr std::size_t kPoints = 1500;  // more than one batch

/// One line a point, made by `line`, after `before`.
template <typename Line>
std::string text_of(const std::string& before, const Line& line, const std::string& line_end = "\n") {
  std::string text = before;
  for (std::size_t i = 0; i < kPoints; ++i) {
    text += line(sample_point(i));
    text += line_end;
  }
  return text;
}

std::string joined(const std::vector<std::string>& words, const std::string& separator) {
  std::string line;
  for (const std::string& word : words) {
    line += line.empty() ? word : separator + word;
  }
  return line;
}

std::vector<std::string> position(const Point& p) {
  return {fixed(p.x), fixed(p.y), fixed(p.z)};
}

std::vector<std::string> position_and_colour(const Point& p) {
  return {fixed(p.x),
          fixed(p.y),
          fixed(p.z),
          std::to_string(p.colour[0]),
          std::to_string(p.colour[1]),
          std::to_string(p.colour[2])};
}

std::string plain(const Point& p) {
  return joined(position(p), " ");
}

}  // namespace

TEST_CASE("XYZ text is read with any separator, line end and mark of byte order") {
  const std::string separator = GENERATE(" ", "   ", "\t", ",", ", ", ";", " ; ", ",\t");
  const std::string line_end = GENERATE("\n", "\r\n", "\r", " \t\n");
  const std::string mark = GENERATE("", "\xEF\xBB\xBF");
  const ReadResult result = read_bytes(text_of(
      mark, [&](const Point& p) { return joined(position(p), separator); }, line_end));
  CHECK(difference(result.cloud, kPoints, false).empty());
  CHECK(result.format == FileFormat{FileFormat::Kind::xyz});
}

TEST_CASE("XYZ text may name its columns, in any order") {
  struct Case {
    std::string header;
    std::string separator;
  };
  const auto which = GENERATE(Case{"X Y Z R G B\n", " "}, Case{"//X Y Z R G B\n", " "},
                              Case{"\"x\";\"y\";\"z\";\"red\";\"green\";\"blue\"\n", ";"},
                              Case{"# trail crew, second larch\n# x[m] y[m] z[m] Red Green Blue\n", "\t"},
                              Case{"x,y,z,r,g,b\r\n", ","});
  const auto line = [&](const Point& p) { return joined(position_and_colour(p), which.separator); };
  CHECK(difference(read_bytes(text_of(which.header, line)).cloud, kPoints, true).empty());
  const std::string reversed = text_of("intensity,z,y,x\n", [](const Point& p) {
    return "0.5," + fixed(p.z) + "," + fixed(p.y) + "," + fixed(p.x);
  });
  CHECK(difference(read_bytes(reversed).cloud, kPoints, false).empty());
}

TEST_CASE("colours of XYZ text without names are three whole numbers from 0 to 255") {
  const auto with = [](const std::string& tail, bool colour) {
    return text_of("", [&](const Point& p) {
      return joined(colour ? position_and_colour(p) : position(p), " ") + tail;
    });
  };
  CHECK(difference(read_bytes(with("", true)).cloud, kPoints, true).empty());
  CHECK(difference(read_bytes(with(" 0.1 0.2 0.3", true)).cloud, kPoints, true).empty());
  CHECK(difference(read_bytes(with(" 17", false)).cloud, kPoints, false).empty());
  CHECK(difference(read_bytes(with(" 0.1 -0.2 0.3", false)).cloud, kPoints, false).empty());
  CHECK(difference(read_bytes(with(" 0.1 0.2 1.3", false)).cloud, kPoints, false).empty());
  CHECK(difference(read_bytes(with(" 10 20 300", false)).cloud, kPoints, false).empty());
  CHECK(difference(read_bytes(with(" -1 20 30", false)).cloud, kPoints, false).empty());
  CHECK(difference(read_bytes(with(" bark wet larch", false)).cloud, kPoints, false).empty());
}

TEST_CASE("colours of XYZ text may run from 0 to 1, with or without a name") {
  const std::string header = GENERATE("", "//X Y Z Rf Gf Bf\n", "x y z red green blue and more words\n");
  const std::string text = text_of(header, [](const Point& p) {
    std::vector<std::string> words = position(p);
    for (const std::uint8_t channel : p.colour) {
      words.push_back(fixed(channel / 255.0));
    }
    return joined(words, " ");
  });
  CHECK(difference(read_bytes(text).cloud, kPoints, true).empty());
}

TEST_CASE("XYZ text with decimal commas is read where the comma does not part the columns") {
  const std::string separator = GENERATE(" ", "\t", ";", " ; ");
  const std::string header = GENERATE("", "x;y;z\n", "1500\n");
  std::string text = text_of(header, [&](const Point& p) { return joined(position(p), separator); });
  std::replace(text.begin(), text.end(), '.', ',');
  CHECK(difference(read_bytes(text).cloud, kPoints, false).empty());
  std::string late = text_of("", plain);  // the first lines may be whole numbers
  late.replace(0, late.find('\n'), "0 0 0");
  std::replace(late.begin(), late.end(), '.', ',');
  CHECK((read_bytes(late).cloud.at(1) -
         Eigen::Vector3d(sample_point(1).x, sample_point(1).y, sample_point(1).z))
            .norm() < 2e-6);
}

TEST_CASE("XYZ text may name its columns as surveyors do, in any order") {
  const std::string header =
      GENERATE("id,Northing,Easting,Height\n", "\"No\",\"north\",\"east\",\"elevation\"\n",
               "Intensity,Points:1,Points:0,Points:2\n");
  const std::string text = text_of(
      header, [](const Point& p) { return "17," + fixed(p.y) + "," + fixed(p.x) + "," + fixed(p.z); });
  CHECK(difference(read_bytes(text).cloud, kPoints, false).empty());
}

TEST_CASE("PTS: a count first, and intensity before the colour") {
  const auto line = [](const Point& p) {
    std::vector<std::string> words = position_and_colour(p);
    words.insert(words.begin() + 3, "-1204");
    return joined(words, " ");
  };
  CHECK(difference(read_bytes(text_of("1500\n", line)).cloud, kPoints, true).empty());
  CHECK_THAT(
      failure_of(text_of("200000\r\n", line)),
      Contains(
          "holds 1,500 of the 200,000 points its header promises: the copy was cut short; copy it again"));
}

TEST_CASE("comments, blank lines and further counts in XYZ text are skipped") {
  std::string text = text_of("# larch\n\n// by the bog\n", plain);
  const std::size_t middle = text.find('\n', text.size() / 2) + 1;
  text.insert(middle, "\n# second walk\n//\n750\n");
  CHECK(difference(read_bytes(text).cloud, kPoints, false).empty());
}

TEST_CASE("numbers of XYZ text come in all the usual spellings") {
  ReadOptions options;
  options.fewest_points = 1;
  const ReadResult result = read_bytes(
      "1e0 +2.5 -.5\n1. 2 3\n1E+1 0 0\nnan 0 0\n-nan 1 1\n1.#QNAN 0 0\n-1.#IND 0 0\n0 inf 0\n1e999 0 0\n5 5 "
      "5\n",
      options);
  CHECK(result.points_read == 4);
  CHECK(result.points_skipped == 6);
  CHECK((result.cloud.at(0) - Eigen::Vector3d(1, 2.5, -0.5)).norm() <= 1e-6);
  CHECK((result.cloud.at(2) - Eigen::Vector3d(10, 0, 0)).norm() <= 1e-6);
  CHECK((result.cloud.at(3) - Eigen::Vector3d(5, 5, 5)).norm() <= 1e-6);
}

TEST_CASE("an empty column of comma separated text is a missing number") {
  ReadOptions options;
  options.fewest_points = 1;
  const ReadResult result = read_bytes("x,y,z,label\n1,2,3,\n1,,3,a\n4,5,6,b\n", options);
  CHECK(result.points_read == 2);
  CHECK(result.points_skipped == 1);
}

TEST_CASE("trouble in XYZ text is named with its line") {
  const std::string good = text_of("", plain);
  CHECK_THAT(failure_of(good + "1.5 2.5\n3 4 5\n"), Contains("has no point in line 1501 (\"1.5 2.5\")"));
  CHECK_THAT(failure_of(good + "1.5 2.5 3.5abc\n"), Contains("line 1501"));
  CHECK_THAT(failure_of(good + "1,234.5 2 3\n"), Contains("line 1501"));
  CHECK_THAT(failure_of(good + "1,2,3 2 3\n"), Contains("line 1501"));
  CHECK_THAT(failure_of(good + "1.5 2.5"), Contains("breaks off in line 1501: the copy was cut short"));
  CHECK_THAT(failure_of("40\n30\n0 0 0\n1 0 0\n"), Contains("PTX"));
}
