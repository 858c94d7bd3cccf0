/// What a plan gives and why it gives nothing, in words and in both units.

#include "tools/report/plan_words.hpp"

#include <catch2/catch.hpp>

using namespace flitchwise;
using namespace flitchwise::report;

namespace {

solver::SawPlan plan_for(const std::vector<solver::Target>& targets) {
  solver::SawPlan plan;
  plan.targets = targets;
  return plan;
}

const solver::Target kPlank{"50x150x3000", 0.05, 0.15, 3.0};
const solver::Target kBoard{"25x100x3000", 0.025, 0.1, 3.0};

}  // namespace

TEST_CASE("boards are told by size") {
  solver::SawPlan plan = plan_for({kPlank});
  plan.boards.resize(8);
  CHECK(boards_words(Units::millimetres, plan) == "8 boards of 50x150x3000 mm");
  CHECK(boards_words(Units::inches, plan) == "8 boards of 1 15/16 x 5 7/8 x 118 1/8 in");
  plan.targets.push_back(kBoard);
  plan.boards.resize(9);
  plan.boards[8].target = 1;
  CHECK(boards_words(Units::millimetres, plan) == "9 boards: 8 of 50x150x3000 mm, 1 of 25x100x3000 mm");
}

TEST_CASE("why a search gave no board is told with its figures") {
  solver::SawPlan plan = plan_for({kPlank});
  const auto why = [&](solver::WhyNone none, Units units = Units::millimetres) {
    plan.why_none = none;
    return why_none_words(units, plan);
  };
  const std::string nothing = "The log gives no board of 50x150x3000 mm: ";
  CHECK(why(solver::LogTooShort{2.8999}) == nothing + "only 2899 mm of its length are whole.");
  CHECK(why(solver::LogTooShort{2.8999}, Units::inches) ==
        "The log gives no board of 1 15/16 x 5 7/8 x 118 1/8 in: only 114 1/8 in of its length are whole.");
  CHECK(why(solver::SearchEnded{true}) ==
        "No board was found in the time that was allowed; allow more of it.");
  CHECK(why(solver::SearchEnded{false}) ==
        "No board was found in the work that was allowed; allow more of it.");
  CHECK(why(solver::NoPlace{false, 0.05, 0.1415}) ==
        nothing + "the widest full-length board 50 mm thick is 141 mm.");
  CHECK(why(solver::NoPlace{true, 0.05, 0.1499}) ==
        nothing +
            "it misses one by a hair, too little to tell from none; the widest full-length board 50 mm "
            "thick is 149 mm.");
  CHECK(why(solver::NoPlace{false, 0.05, 0.0}) == nothing + "no full-length board 50 mm thick fits.");
  CHECK(why(solver::NoPlace{false, 0.05, {}}) == nothing + "no place for one was found at any roll.");
  plan.options.keep_pith_out_m = 0.05;
  CHECK(why(solver::NoPlace{false, 0.05, 0.2}) ==
        nothing +
            "the widest full-length board 50 mm thick is 200 mm, with the pith and whatever its grain.");
  plan.targets.push_back(kBoard);
  CHECK(why(solver::LogTooShort{1.5}) ==
        "The log gives no board of the 2 sizes: only 1500 mm of its length are whole.");
}

TEST_CASE("proof and margin are told in the units asked for") {
  solver::SawPlan plan = plan_for({kPlank});
  plan.proof.boards = 2;
  plan.proof.value = plan.proof.upper_value = 2;
  plan.proof.proven = true;
  CHECK(proof_words(Units::millimetres, plan) == "Proven: no plan gives more.");
  plan.proof.tolerance_m = 0.001;
  CHECK(proof_words(Units::millimetres, plan) ==
        "Proven: no plan gives more, even if the log were 1.0 mm bigger all round.");
  CHECK(proof_words(Units::inches, plan) ==
        "Proven: no plan gives more, even if the log were 1/16 in bigger all round.");
  plan.margin_m = 0.0064;
  CHECK(margin_words(Units::inches, plan) ==
        "Margin: the plan holds if the wood is up to 1/4 in smaller all round.");
}
