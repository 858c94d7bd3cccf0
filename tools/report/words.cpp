#include "tools/report/words.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/units.hpp"
#include "tools/report/text.hpp"

namespace flitchwise::report {
namespace {

constexpr double kNoPlayM = 0.0005;  // less cannot be marked or measured at a log
constexpr int kTenths = 1;
constexpr double kLeastRollDeg = 0.1;  // no phone's inclinometer reads closer than this
// 51 lb: the most that one person may lift under ideal conditions, NIOSH revised lifting equation (OSHA).
constexpr double kLiftKg = 23;

double heaviest_kg(const solver::SetupSheet& sheet) {
  double heaviest = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    heaviest = std::max(heaviest, cut.piece_weight_kg);
  }
  return heaviest;
}

/// "cut 1", "cuts 2 and 4", "cuts 2 to 9", "cuts 2, 5 and 7 to 9".
std::string cuts_words(const std::vector<int>& orders) {
  std::vector<std::string> runs;
  for (std::size_t i = 0; i < orders.size();) {
    std::size_t end = i + 1;
    while (end < orders.size() && orders[end] == orders[end - 1] + 1) {
      ++end;
    }
    const std::size_t whole = end - i > 2 ? end : i + 1;  // two in a row are named one by one
    runs.push_back(std::to_string(orders[i]) +
                   (whole > i + 1 ? " to " + std::to_string(orders[whole - 1]) : std::string()));
    i = whole;
  }
  std::string words = orders.size() == 1 ? "cut " : "cuts ";
  for (std::size_t i = 0; i < runs.size(); ++i) {
    words += (i == 0 ? "" : i + 1 == runs.size() ? " and " : ", ") + runs[i];
  }
  return words;
}

/// All sizes are worth the same, so that boards are counted.
bool counts_boards(const solver::SawPlan& plan) {
  return std::all_of(plan.targets.begin(), plan.targets.end(), [&](const solver::Target& target) {
    return target.value == plan.targets.front().value;
  });
}

/// At most three digits after the point, no noughts at the end.
std::string plain(double value) {
  constexpr int kThousandths = 3;
  std::string text = fixed(value, kThousandths);
  text.erase(text.find_last_not_of('0') + 1);
  return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
}

/// A bound that is so many times the plan's value says nothing to a person.
constexpr double kWideOpen = 2;

std::string between_words(const solver::SawPlan& plan) {
  const solver::Proof& proof = plan.proof;
  if (counts_boards(plan)) {
    return "between " + std::to_string(proof.boards) + " and " + std::to_string(proof.upper_bound) +
           " boards are";
  }
  return "a plan worth between " + plain(proof.value) + " and " + plain(proof.upper_value) + " is";
}

/// The saw rides on the rail or on a sawn face, set to a depth.
bool rides_at_depth(const solver::Cut& cut) {
  return is_level(cut) || cut.kind == solver::Cut::Kind::cant;
}

}  // namespace

std::string worth_words(const Report& report) {
  return counts_boards(report.plan) ? std::string() : "Worth " + plain(report.plan.proof.value) + " in all.";
}

std::string boards_words(const Report& report) {
  return in_units(report.units, boards_of(report.plan));
}

std::string proof_words(const Report& report) {
  const solver::Proof& proof = report.plan.proof;
  const std::string tolerance = mm(proof.tolerance_m, kTenths);
  if (proof.proven && tolerance == "0.0") {
    return "Proven: no plan gives more.";
  }
  if (proof.proven) {
    return in_units(report.units, "Proven: no plan gives more, even if the log were " + tolerance +
                                      " mm bigger all round.");
  }
  if (proof.upper_value > kWideOpen * proof.value) {
    return "Not proven: the search ended before it could rule out much better plans.";
  }
  return "Not proven: " + between_words(report.plan) + " possible; " +
         (proof.ended_early ? "more time would narrow it down." : "it turns on less than the tolerance.");
}

std::string margin_words(const Report& report) {
  if (report.plan.margin_m < kNoPlayM) {
    return "Margin: none beyond the uncertainty that the plan keeps clear of anyway.";
  }
  return in_units(report.units,
                  "Margin: the plan holds if the wood is up to " + mm(report.plan.margin_m, kTenths) +
                      " mm smaller all round" +
                      (report.plan.proof.margin_proven ? "; no plan of this worth has much more." : "."));
}

bool is_rolled(const solver::SetupSheet& sheet) {
  return std::abs(degrees(sheet.roll_rad)) >= kLeastRollDeg;
}

std::string roll_angle(const solver::SetupSheet& sheet) {
  return fixed(std::abs(degrees(sheet.roll_rad)), kTenths);
}

std::string roll_words(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  if (!is_rolled(sheet)) {
    return "leave the log as it lies";
  }
  const std::string side = sheet.bark_walk_m > 0 ? "left" : "right";
  return "turn the log " + roll_angle(sheet) + " degrees " +
         (sheet.roll_rad > 0 ? "clockwise" : "anticlockwise") +
         ", seen from the small end; the new top now lies " +
         length_text(report.units, std::abs(sheet.bark_walk_m)) + " to the " + side +
         " of today's, along the bark at the middle of the log";
}

std::string tolerance_words(Units units, double tolerance_m) {
  if (units == Units::inches) {
    constexpr double kSixteenthM = 0.0254 / 16;
    return tolerance_m < kSixteenthM
               ? "less than 1/16 in"
               : length_text(units, std::floor(tolerance_m / kSixteenthM) * kSixteenthM);
  }
  constexpr double kTen = 10;
  const double tolerance_mm = tolerance_m * kMmAMetre;
  return (tolerance_mm < kTen ? fixed(std::floor(tolerance_mm * kTen) / kTen, kTenths)
                              : fixed(std::floor(tolerance_mm), 0)) +
         " mm";
}

/// Public guidance on chain saws, logs that may roll, and lifting (29 CFR 1910.266; HSE INDG317; OSHA).
std::vector<std::string> cautions(const Report& report) {
  std::vector<std::string> all = {
      "Local rules and trained practice go first; this sheet only measures and reckons.",
      "Measure both end marks again before you cut: a scan can be wrong, and the cut cannot be undone.",
      ("Chain-saw trousers, boots, helmet, gloves, eye and ear protection. Nobody alone, nobody in line with "
       "the bar."),
      ("Kickback: the saw kicks where the bar's nose enters or leaves the cut, or touches anything. Keep the "
       "nose clear, both hands on the saw, your head out of the bar's plane."),
      "Block the log on its bearers on both sides before and after rolling. Stay on its uphill side, and "
      "never reach or stand under a lifted log. It weighs about " +
          weight_text(report.units, report.sheet.log_weight_kg) + '.'};
  if (heaviest_kg(report.sheet) > kLiftKg) {
    all.push_back("The heaviest piece that comes off weighs about " +
                  weight_text(report.units, heaviest_kg(report.sheet)) +
                  ": turn it with tools and company; " + weight_text(report.units, kLiftKg) +
                  " is the most for one.");
  }
  all.insert(
      all.end(),
      {"Set wedges behind the saw as the cut grows, so that it cannot close on the bar.",
       ("A bent log holds tension: its pieces may spring or bow as they come free. Wind-thrown wood holds "
        "more, and a root plate may tip back: make both safe first."),
       "Look for metal in the wood: fence wire, nails, old tags. Old wounds often hide it."});
  return all;
}

std::vector<std::string> checks_before_start(const Report& report) {
  std::vector<std::string> checks = {"Chain sharp for ripping and tensioned; bar straight.",
                                     "Chain oil and fuel full; the oil reaches the chain.",
                                     "Log blocked on both sides; it does not move when pushed.",
                                     "Both end marks measured again; both brackets parallel.",
                                     "Every screw tight, none nearer to the cut than the sheet allows.",
                                     "Saw slid along the whole rail with the engine off: nothing in its way.",
                                     "Saw depth measured at both ends of the bar.",
                                     "Wedges and hammer at hand; nobody else near."};
  if (report.sheet.kit.truing == solver::Kit::Truing::string) {
    checks.emplace_back(
        "String taken off before the saw starts, and at the latest before it leaves the cut.");
  }
  return checks;
}

bool is_level(const solver::Cut& cut) {
  return cut.kind == solver::Cut::Kind::opening || cut.kind == solver::Cut::Kind::level;
}

bool is_on_cant(const Report& report, const solver::Cut& cut) {
  return !is_level(cut) && cut.flitch < report.plan.flitches.size() &&
         report.plan.flitches[cut.flitch].kind == solver::Flitch::Kind::cant;
}

std::string settings_count(const Report& report) {
  std::vector<std::string> depths;
  int times = 0;
  std::string before;
  for (const solver::Cut& cut : report.sheet.cuts) {
    if (!rides_at_depth(cut)) {
      continue;
    }
    const std::string depth = bare_depth(report.units, cut.saw_depth_m);
    times += depth == before ? 0 : 1;
    before = depth;
    if (std::find(depths.begin(), depths.end(), depth) == depths.end()) {
      depths.push_back(depth);
    }
  }
  return times < 2 ? std::string()
                   : counted(depths.size(), "setting") + ", set " + std::to_string(times) + " times";
}

std::vector<std::string> depth_settings(const Report& report) {
  std::vector<std::pair<std::string, std::vector<int>>> settings;
  for (const solver::Cut& cut : report.sheet.cuts) {
    if (!rides_at_depth(cut)) {
      continue;
    }
    const std::string depth = bare_depth(report.units, cut.saw_depth_m) + ' ' + unit_name(report.units);
    const auto at = std::find_if(settings.begin(), settings.end(),
                                 [&](const auto& setting) { return setting.first == depth; });
    if (at == settings.end()) {
      settings.emplace_back(depth, std::vector<int>{cut.order});
    } else {
      at->second.push_back(cut.order);
    }
  }
  std::vector<std::string> words;
  for (const auto& [depth, orders] : settings) {
    words.push_back(depth + " for " + cuts_words(orders));
  }
  return words;
}

std::string opening_depth_words(const Report& report) {
  const auto& cuts = report.sheet.cuts;
  const solver::Cut* opening = opening_cut(report.sheet);
  const solver::Cut* normal = nullptr;  // the depth of most level cuts, the first where two are as frequent
  std::ptrdiff_t most = 0;
  for (const solver::Cut& cut : cuts) {
    const std::ptrdiff_t same = std::count_if(cuts.begin(), cuts.end(), [&](const solver::Cut& other) {
      return other.kind == solver::Cut::Kind::level &&
             bare_depth(report.units, other.saw_depth_m) == bare_depth(report.units, cut.saw_depth_m);
    });
    if (cut.kind == solver::Cut::Kind::level && same > most) {
      most = same;
      normal = &cut;
    }
  }
  if (opening == nullptr || normal == nullptr || opening->saw_depth_m <= normal->saw_depth_m) {
    return {};
  }
  // The difference of the two figures as they are read, unless the kit sets it.
  const double step_m = report.units == Units::inches ? 0.0254 / 16 : 0.0005;
  const auto as_read = [&](double length_m) { return std::round(length_m / step_m) * step_m; };
  const double deeper_m = report.sheet.kit.opening_deeper_m > 0
                              ? report.sheet.kit.opening_deeper_m
                              : as_read(opening->saw_depth_m) - as_read(normal->saw_depth_m);
  const auto depth = [&](double depth_m) {
    return bare_depth(report.units, depth_m) + ' ' + unit_name(report.units);
  };
  return "The opening cut is set " + depth(deeper_m) + " deeper than the normal cut (" +
         depth(opening->saw_depth_m) + " and " + depth(normal->saw_depth_m) + ").";
}

std::string truing_words(const Report& report) {
  const solver::Kit& kit = report.sheet.kit;
  const auto length = [&](double length_m) { return length_text(report.units, length_m); };
  switch (kit.truing) {
    case solver::Kit::Truing::string: {
      std::string words = "Stretch the string from end to end, " + length(kit.string_height_m) +
                          " above the rail's underside at both";
      if (kit.gauge_m > 0) {
        words +=
            ": a block of " + length(kit.string_height_m - kit.gauge_m) + " and a gauge of " +
            length(kit.gauge_m) +
            ". Stand the block on a support, lay the gauge on it, and turn the screws until the string feels "
            "as the table says";
      }
      return words +
             ". Do the same along the left and the right side. Take the string off before the saw starts.";
    }
    case solver::Kit::Truing::straightedge:
      return "Lay the straightedge along and across over neighbouring supports" +
             (kit.gauge_m > 0 ? ": a gauge of " + length(kit.gauge_m) + " must not go under it anywhere."
                              : std::string(": no light may show under it."));
    case solver::Kit::Truing::none:
      break;
  }
  return {};
}

std::string gauge_feel(Units units, const solver::Support& support) {
  const std::string lift = length_text(units, support.string_sag_m);
  return bare_length(units, support.string_sag_m) == "0" ? "just touches" : "lifts the string " + lift;
}

}  // namespace flitchwise::report
