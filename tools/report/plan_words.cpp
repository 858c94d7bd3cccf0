#include "tools/report/plan_words.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

namespace flitchwise::report {
namespace {

/// "50x150x3000 mm", "2 x 5 7/8 x 118 1/8 in": fractions need the room.
std::string size_words(Units units, const Eigen::Vector3d& size_m) {
  const std::string times = units == Units::inches ? " x " : "x";
  return bare_length(units, size_m.x()) + times + bare_length(units, size_m.y()) + times +
         length_text(units, size_m.z());
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

/// Why a search gave no board.
class WhyNone {
 public:
  WhyNone(Units units, const solver::SawPlan& plan) : units_(units), plan_(plan) {}

  std::string operator()(const solver::LogTooShort& why) const {
    return nothing() + "only " + length_text(units_, rounded_down(units_, why.whole_m)) +
           " of its length are whole.";
  }
  std::string operator()(const solver::SearchEnded& why) const {
    return "No board was found in the " + std::string(why.by_time ? "time" : "work") +
           " that was allowed; allow more of it.";
  }
  std::string operator()(const solver::NoPlace& why) const {
    const std::string hair = why.by_a_hair ? "it misses one by a hair, too little to tell from none; " : "";
    const std::string thick = length_text(units_, why.thickness_m) + " thick ";
    if (!why.widest_m) {
      return nothing() + hair + "no place for one was found at any roll.";
    }
    if (*why.widest_m <= 0) {
      return nothing() + hair + "no full-length board " + thick + "fits.";
    }
    const bool whatever = plan_.options.keep_pith_out_m > 0 || plan_.options.most_grain_slope > 0;
    return nothing() + hair + "the widest full-length board " + thick + "is " +
           length_text(units_, rounded_down(units_, *why.widest_m)) +
           (whatever ? ", with the pith and whatever its grain." : ".");
  }

 private:
  std::string nothing() const {
    const std::string sizes = plan_.targets.size() == 1
                                  ? size_words(units_, plan_.targets.front())
                                  : "the " + std::to_string(plan_.targets.size()) + " sizes";
    return "The log gives no board of " + sizes + ": ";
  }

  Units units_;
  const solver::SawPlan& plan_;
};

}  // namespace

std::string size_words(Units units, const solver::Target& target) {
  return units == Units::millimetres
             ? target.name + " mm"
             : size_words(units, Eigen::Vector3d(target.thickness_m, target.width_m, target.length_m));
}

bool counts_boards(const solver::SawPlan& plan) {
  return std::all_of(plan.targets.begin(), plan.targets.end(), [&](const solver::Target& target) {
    return target.value == plan.targets.front().value;
  });
}

std::string worth_words(const solver::SawPlan& plan) {
  return counts_boards(plan) ? std::string() : "Worth " + plain(plan.proof.value) + " in all.";
}

std::string boards_words(Units units, const solver::SawPlan& plan) {
  std::vector<std::size_t> counts(plan.targets.size(), 0);
  for (const solver::Board& board : plan.boards) {
    ++counts.at(board.target);
  }
  std::string text = counted(plan.boards.size(), "board");
  if (plan.targets.size() == 1) {
    return text + " of " + size_words(units, plan.targets.front());
  }
  std::string before = ": ";
  for (std::size_t i = 0; i < counts.size(); ++i) {
    if (counts[i] > 0) {
      text += before + std::to_string(counts[i]) + " of " + size_words(units, plan.targets[i]);
      before = ", ";
    }
  }
  return text;
}

std::string proof_words(Units units, const solver::SawPlan& plan) {
  constexpr double kNothing_m = 0.00005;  // "0.0 mm"
  const solver::Proof& proof = plan.proof;
  if (proof.proven && proof.tolerance_m < kNothing_m) {
    return "Proven: no plan gives more.";
  }
  if (proof.proven) {
    return "Proven: no plan gives more, even if the log were " + fine_length(units, proof.tolerance_m) +
           " bigger all round.";
  }
  if (proof.upper_value > kWideOpen * proof.value) {
    return "Not proven: the search ended before it could rule out much better plans.";
  }
  return "Not proven: " + between_words(plan) + " possible; " +
         (proof.ended_early ? "more time would narrow it down." : "it turns on less than the tolerance.");
}

std::string margin_words(Units units, const solver::SawPlan& plan) {
  constexpr double kNoPlay_m = 0.0005;  // less cannot be marked or measured at a log
  if (plan.margin_m < kNoPlay_m) {
    return "Margin: none beyond the uncertainty that the plan keeps clear of anyway.";
  }
  return "Margin: the plan holds if the wood is up to " + fine_length(units, plan.margin_m) +
         " smaller all round" + (plan.proof.margin_proven ? "; no plan of this worth has much more." : ".");
}

std::string why_none_words(Units units, const solver::SawPlan& plan) {
  return plan.why_none ? std::visit(WhyNone(units, plan), *plan.why_none) : "No board was found in the log.";
}

std::string short_boards_words(Units units, const solver::SawPlan& plan) {
  if (plan.options.short_lengths_m.empty()) {
    return {};
  }
  if (plan.short_boards.empty()) {
    return "No shorter boards come out of what is left.";
  }
  std::vector<std::pair<std::string, int>> sizes;
  for (const solver::ShortBoard& board : plan.short_boards) {
    const std::string size = size_words(units, size_of(plan, board));
    const auto same =
        std::find_if(sizes.begin(), sizes.end(), [&](const auto& s) { return s.first == size; });
    same == sizes.end() ? static_cast<void>(sizes.emplace_back(size, 1)) : static_cast<void>(++same->second);
  }
  std::string words =
      "Besides, " + counted(plan.short_boards.size(), "shorter board") + " from jackets, edges and ends: ";
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    words += (i == 0 ? "" : ", ") + std::to_string(sizes[i].second) + " of " + sizes[i].first;
  }
  return words + ".";
}

Eigen::Vector3d size_of(const solver::SawPlan& plan, const solver::ShortBoard& board) {
  const solver::Target& target = plan.targets.at(board.target);
  return {target.thickness_m, target.width_m, board.length_m};
}

}  // namespace flitchwise::report
