#include "tools/report/text.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <numeric>
#include <regex>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/report/fact_words.hpp"

namespace flitchwise::report {
namespace {

using Status = solver::ScrewPoint::Status;

int badness(Status status) {
  switch (status) {
    case Status::ok:
      return 0;
    case Status::packer:
      return 1;
    case Status::relieve:
      return 2;
    case Status::no_bearing:
      break;
  }
  return 3;
}

bool is_worse(const solver::ScrewPoint& a, const solver::ScrewPoint& b) {
  return badness(a.status) != badness(b.status) ? badness(a.status) > badness(b.status)
                                                : a.amount_m > b.amount_m;
}

}  // namespace

double degrees(double radians) {
  constexpr double kHalfTurn = 180;
  return radians * kHalfTurn / std::numbers::pi;
}

std::string fixed(double value, int digits) {
  if (!std::isfinite(value)) {
    return {};
  }
  constexpr std::size_t kRoom = 400;  // the largest double has 309 digits
  std::array<char, kRoom> text;
  const auto result =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, digits);
  std::string number(text.data(), result.ptr);
  if (number.starts_with('-') && number.find_first_not_of("-0.") == std::string::npos) {
    number.erase(0, 1);
  }
  return number;
}

std::string mm(double length_m, int digits) {
  return fixed(length_m * kMmAMetre, digits);
}

std::string inches(double length_m) {
  constexpr double kMetresAnInch = 0.0254;
  constexpr long kParts = 16;
  if (!std::isfinite(length_m)) {
    return {};
  }
  const long sixteenths = std::lround(std::abs(length_m) / kMetresAnInch * kParts);
  const std::string sign = length_m < 0 && sixteenths > 0 ? "-" : "";
  const long whole = sixteenths / kParts;
  const long rest = sixteenths % kParts;
  if (rest == 0) {
    return sign + std::to_string(whole);
  }
  const long divisor = std::gcd(rest, kParts);
  const std::string fraction = std::to_string(rest / divisor) + '/' + std::to_string(kParts / divisor);
  return sign + (whole > 0 ? std::to_string(whole) + ' ' : "") + fraction;
}

std::string bare_length(Units units, double length_m) {
  return units == Units::inches ? inches(length_m) : mm(length_m);
}

std::string bare_depth(Units units, double depth_m) {
  constexpr double kHalves = 2;
  // Ties are common (a kerf of 9.5 mm) and must not fall to either side by rounding errors.
  constexpr double kTie = 1e-6;
  const double halves = std::floor(depth_m * kMmAMetre * kHalves + 0.5 + kTie);
  const bool whole = std::fmod(halves, kHalves) == 0;
  return units == Units::inches ? inches(depth_m) : fixed(halves / kHalves, whole ? 0 : 1);
}

std::string unit_name(Units units) {
  return units == Units::inches ? "in" : "mm";
}

std::string length_text(Units units, double length_m) {
  const std::string bare = bare_length(units, length_m);
  return bare.empty() ? bare : bare + ' ' + unit_name(units);
}

std::string bare_weight(Units units, double weight_kg) {
  constexpr double kKgAPound = 0.45359237;  // exact: the international pound (NIST Handbook 44, appendix C)
  constexpr double kHalf = 0.5;
  // The warnings hold whole kilograms: from those, so that the log weighs the same everywhere.
  constexpr double kWhole = 10;
  const double taken_kg = weight_kg < kWhole ? weight_kg : std::round(weight_kg);
  const double weight = units == Units::inches ? taken_kg / kKgAPound : weight_kg;
  return weight > 0 && weight < kHalf ? "<1" : fixed(weight, 0);
}

std::string weight_text(Units units, double weight_kg) {
  return bare_weight(units, weight_kg) + ' ' + weight_unit(units);
}

std::string weight_unit(Units units) {
  return units == Units::inches ? "lb" : "kg";
}

namespace {

std::string lengths_in_inches(const std::string& sentence) {
  static const std::regex lengths("([0-9.]+(?:(?:x| x | to | and | or )[0-9.]+)*) mm\\b");
  static const std::regex number("[0-9.]*[0-9]");
  std::string text;
  std::size_t done = 0;
  for (std::sregex_iterator at(sentence.begin(), sentence.end(), lengths), end; at != end; ++at) {
    const std::string found = (*at)[1];
    text += sentence.substr(done, static_cast<std::size_t>(at->position()) - done);
    std::size_t inner = 0;
    for (std::sregex_iterator each(found.begin(), found.end(), number); each != end; ++each) {
      const std::string between = found.substr(inner, static_cast<std::size_t>(each->position()) - inner);
      text += between == "x" ? " x " : between;  // fractions need the room
      double value_mm = 0;
      const std::string digits = each->str();
      std::from_chars(digits.data(), digits.data() + digits.size(), value_mm);
      const std::string value = inches(value_mm / kMmAMetre);
      text += value == "0" && value_mm > 0 ? "less than 1/16" : value;
      inner = static_cast<std::size_t>(each->position() + each->length());
    }
    text += found.substr(inner) + " in";
    done = static_cast<std::size_t>(at->position() + at->length());
  }
  return text + sentence.substr(done);
}

std::string weights_in_pounds(const std::string& sentence) {
  static const std::regex weights("([0-9]+) kg\\b(?!/)");  // not of a density
  std::string text;
  std::size_t done = 0;
  for (std::sregex_iterator at(sentence.begin(), sentence.end(), weights), end; at != end; ++at) {
    double weight_kg = 0;
    const std::string digits = (*at)[1];
    std::from_chars(digits.data(), digits.data() + digits.size(), weight_kg);
    text += sentence.substr(done, static_cast<std::size_t>(at->position()) - done);
    text += weight_text(Units::inches, weight_kg);
    done = static_cast<std::size_t>(at->position() + at->length());
  }
  return text + sentence.substr(done);
}

}  // namespace

std::string in_units(Units units, const std::string& sentence) {
  return units == Units::millimetres ? sentence : weights_in_pounds(lengths_in_inches(sentence));
}

std::string with_hint(const std::string& words, const Fact& fact, const Hint& hint) {
  const std::string behind = hint ? hint(fact) : std::string();
  if (behind.empty()) {
    return words;
  }
  const bool stopped = words.ends_with('.');
  return words.substr(0, words.size() - (stopped ? 1 : 0)) + " (" + behind + ')' + (stopped ? "." : "");
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + ' ' + noun + (count == 1 ? "" : "s");
}

std::string wrapped(const std::string& text, const std::string& first) {
  constexpr std::size_t kLineLength = 96;
  std::string out;
  std::string line = first;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t stop = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, stop - at);
    if (line.size() > first.size() && line.size() + 1 + word.size() > kLineLength) {
      out += line + '\n';
      line = std::string(first.size(), ' ');
    }
    line += (line.size() > first.size() ? " " : "") + word;
    at = stop + 1;
  }
  return out + line + '\n';
}

std::string boards_of(const solver::SawPlan& plan) {
  std::vector<std::size_t> counts(plan.targets.size(), 0);
  for (const solver::Board& board : plan.boards) {
    ++counts.at(board.target);
  }
  std::string text = counted(plan.boards.size(), "board");
  if (plan.targets.size() == 1) {
    return text + " of " + plan.targets.front().name + " mm";
  }
  std::string before = ": ";
  for (std::size_t i = 0; i < counts.size(); ++i) {
    if (counts[i] > 0) {
      text += before + std::to_string(counts[i]) + " of " + plan.targets[i].name + " mm";
      before = ", ";
    }
  }
  return text;
}

std::string table(const std::vector<std::vector<std::string>>& rows, const std::vector<bool>& right,
                  const std::string& indent) {
  std::vector<std::size_t> widths(right.size(), 0);
  for (const auto& row : rows) {
    for (std::size_t c = 0; c < row.size(); ++c) {
      widths[c] = std::max(widths[c], row[c].size());
    }
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line = indent;
    for (std::size_t c = 0; c < row.size(); ++c) {
      const std::string padding(widths[c] - row[c].size(), ' ');
      line += c == 0 ? "" : "  ";
      line += right[c] ? padding + row[c] : row[c] + padding;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  return text;
}

void check(const Report& report) {
  require(report.plan.status == solver::SawPlan::Status::ok,
          "only a plan with boards can be reported: " + report.plan.message);
  require(report.sheet.opening_plane < report.plan.planes.size(),
          "the setup sheet opens with plane " + std::to_string(report.sheet.opening_plane) +
              ", but the plan has " + std::to_string(report.plan.planes.size()));
  const std::string error = report.log.find_error();
  require(error.empty(), "the log model is broken: " + error);
}

Eigen::Vector3d to_bench(const Report& report, const Eigen::Vector3d& in_log_m) {
  return Eigen::AngleAxisd(report.sheet.roll_rad, Eigen::Vector3d::UnitX()) * in_log_m;
}

double height_at(const Report& report, const solver::CutPlane& plane, double x_m) {
  const Eigen::Vector3d point = to_bench(report, plane.point_m);
  const Eigen::Vector3d normal = to_bench(report, plane.normal);
  // normal . ((x, 0, z) - point) = 0
  return point.z() + (normal.y() * point.y() - normal.x() * (x_m - point.x())) / normal.z();
}

std::vector<solver::CutPlane> later_planes(const Report& report) {
  std::vector<solver::CutPlane> planes = report.plan.planes;
  if (report.sheet.extra_cut_m == 0) {
    planes.erase(planes.begin() + static_cast<std::ptrdiff_t>(report.sheet.opening_plane));
  }
  return planes;
}

const solver::Cut* opening_cut(const solver::SetupSheet& sheet) {
  const auto at = std::find_if(sheet.cuts.begin(), sheet.cuts.end(),
                               [](const solver::Cut& cut) { return cut.kind == solver::Cut::Kind::opening; });
  return at == sheet.cuts.end() ? nullptr : &*at;
}

std::string kind_text(solver::Cut::Kind kind) {
  switch (kind) {
    case solver::Cut::Kind::opening:
      return "opening";
    case solver::Cut::Kind::level:
      return "level";
    case solver::Cut::Kind::crosscut:
      return "crosscut";
    case solver::Cut::Kind::cant:
      return "cant";
    case solver::Cut::Kind::edging:
      break;
  }
  return "edging";
}

std::string support_status(const solver::Support& support) {
  std::string left = status_text(support.left);
  const std::string right = status_text(support.right);
  if (left == right) {
    return left;
  }
  return is_worse(support.left, support.right) ? left + " left" : right + " right";
}

std::vector<std::string> all_warnings(const Report& report, Units units, const Hint& hint) {
  std::vector<std::string> all;
  const auto add = [&](const std::string& warning) {
    if (std::find(all.begin(), all.end(), warning) == all.end()) {
      all.push_back(warning);
    }
  };
  for (const Fact& fact : report.warnings) {
    add(with_hint(words(fact, units), fact, hint));
  }
  for (const std::string& warning : report.sheet.warnings) {
    add(in_units(units, warning));
  }
  return all;
}

}  // namespace flitchwise::report
