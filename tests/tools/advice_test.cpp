/// What the person reads beside a plan, and what plan.json says of it.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <numbers>

#include "tests/tools/advice_fixture.hpp"
#include "tests/tools/report_fixture.hpp"
#include "tools/report/plan_json.hpp"
#include "tools/report/short_answer.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::test;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using Json = nlohmann::json;

namespace {

bool says(const Report& report, const std::string& sentence) {
  const std::vector<std::string> words = limit_words(report);
  return std::find(words.begin(), words.end(), sentence) != words.end();
}

/// The short answer on one line, as its own lines break where they are full.
std::string unbroken(const std::string& text) {
  std::string line;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n';
    if (!blank || line.empty() || line.back() != ' ') {
      line += blank ? ' ' : c;
    }
  }
  return line;
}

}  // namespace

TEST_CASE("every change that gains a board is one sentence", "[advice]") {
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  made.advice = all_advice();
  CHECK(by_eye_words(report) == "By eye 1 board, this plan 2.");
  CHECK(says(
      report,
      "The next board lacks 3.3 mm of wood on the upper left side of the log as it is sawn, 1850 mm from "
      "the small end."));
  CHECK(says(report, "A kerf of 7.5 mm instead of 9.0 mm would give 1 more."));
  CHECK(says(report, "A board 4 mm narrower (146 mm) would give 1 more."));
  CHECK(says(report, "A board 2 mm thinner (48 mm) would give 2 more."));
  CHECK(says(report, "A board 120 mm shorter (2880 mm) would give 1 more."));
  CHECK(says(report,
             "Rolled 35 degrees anticlockwise, as seen from the small end, the log would give 2 more."));
  CHECK(says(report,
             "With less care for the scan's errors (a confidence of 1.5 instead of 2) the plan would give 1 "
             "more, at more risk of wane."));
  CHECK(
      says(report,
           "If the wood's surface were known exactly (a better scan, the bark measured), the log could give "
           "1 more."));
  CHECK(
      says(report, "Cut the log in two first, 3100 mm from the small end: 4 boards instead of 2 (3 and 1)."));
  CHECK(limit_words(report).size() == 9);
  const std::string answer = unbroken(short_answer(report));
  CHECK_THAT(answer, Contains(by_eye_words(report)));
  for (const std::string& words : limit_words(report)) {
    CHECK_THAT(answer, Contains(words));
  }
}

TEST_CASE("advice speaks inches where the report does", "[advice]") {
  ReportedLog made = made_by_hand();
  Report report = made.report();
  report.units = Units::inches;
  made.advice = all_advice();
  for (const std::string& words : limit_words(report)) {
    CHECK_THAT(words, !Contains(" mm"));
  }
  CHECK(says(report, "A kerf of 5/16 in instead of 3/8 in would give 1 more."));
  CHECK(says(report, "A board 3/16 in narrower (5 3/4 in) would give 1 more."));
}

TEST_CASE("a spot that the scan did not see, or not well, is said so", "[advice]") {
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  made.advice = all_advice();
  made.advice.limits->next_board->sigma_m = 0.0041;
  CHECK_THAT(limit_words(report).front(), Contains("where the surface is only known to 4.1 mm"));
  made.advice.limits->next_board->seen = false;
  CHECK_THAT(limit_words(report).front(), Contains("where the scan did not see the bark"));
}

TEST_CASE("what was not looked for is not told, and what was cut short is", "[advice]") {
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  CHECK(by_eye_words(report).empty());
  CHECK(limit_words(report).empty());
  CHECK_THAT(short_answer(report), !Contains("What limits"));

  made.advice = all_advice();
  made.advice.limits->complete = false;
  CHECK_THAT(limit_words(report).back(), StartsWith("Not everything was tried"));

  made.advice = all_advice();
  made.advice.limits->changes.clear();
  made.advice.limits->next_board.reset();
  made.advice.crosscut->yield = {2, 2};  // as many as the whole log gives: nobody needs that cut
  CHECK(limit_words(report) ==
        std::vector<std::string>{
            "No smaller kerf, no smaller board and no other roll was found to give one more."});
}

TEST_CASE("a confidence is told as exactly as it was given", "[advice]") {
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  made.advice = all_advice();
  made.advice.limits->changes = {{solver::Change::Kind::confidence, 0, 1.75, 1.25, 3, 1, 1}};
  CHECK(says(
      report,
      "With less care for the scan's errors (a confidence of 1.25 instead of 1.75) the plan would give 1 "
      "more, at more risk of wane."));
}

TEST_CASE("with boards of different values, gains are told in value", "[advice]") {
  ReportedLog made = made_by_hand();
  made.plan.targets.push_back({"25x100x3000", 0.025, 0.1, 3.0, 0.25});
  made.plan.value = 2;
  const Report report = made.report();
  made.advice = all_advice();
  made.advice.limits->changes = {{solver::Change::Kind::width, 1, 0.1, 0.09, 2, 0, 0.5}};
  CHECK(by_eye_words(report) == "By eye 1 board worth 1.00, this plan 2 boards worth 2.00.");
  CHECK(says(report, "A 25x100x3000 10 mm narrower (90 mm) would be worth 0.50 more."));
}

TEST_CASE("a side is named as it is seen from the small end", "[advice]") {
  constexpr double pi = std::numbers::pi;
  CHECK(side_words(0) == "left");  // y points left for one who looks from the small end
  CHECK(side_words(pi / 2) == "upper");
  CHECK(side_words(pi) == "right");
  CHECK(side_words(-pi / 2) == "lower");
  CHECK(side_words(-3 * pi / 4) == "lower right");
  CHECK(side_words(5 * pi + 0.1) == "right");
  CHECK(side_words(-4 * pi - pi / 4) == "lower left");
}

TEST_CASE("plan.json holds the advice, and nothing where there is none", "[advice]") {
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  const Json none = Json::parse(plan_json(report))["advice"];
  CHECK(none["by_eye"].is_null());
  CHECK(none["limits"].is_null());
  CHECK(none["crosscut"].is_null());
  made.advice = all_advice();
  const Json advice = Json::parse(plan_json(report))["advice"];
  CHECK(advice["by_eye"]["boards"] == 1);
  CHECK(advice["limits"]["next_board"]["missing_mm"] == 3.3);
  CHECK(advice["limits"]["next_board"]["larger_mm"] == 3.5);
  REQUIRE(advice["limits"]["changes"].size() == 7);
  CHECK(advice["limits"]["changes"][1]["target"] == "50x150x3000");
  CHECK(advice["limits"]["changes"][1]["to"] == 146.0);
  CHECK(advice["limits"]["changes"][4]["to"] == -35.0);
  CHECK(advice["limits"]["changes"][4]["unit"] == "deg");
  CHECK(advice["limits"]["changes"][5]["kind"] == "confidence");
  CHECK(advice["limits"]["changes"][5]["to"] == 1.5);
  CHECK(advice["limits"]["changes"][6]["from"] == 2.0);
  CHECK(advice["crosscut"]["boards_of_pieces"] == Json({3, 1}));
}
