#include "tools/job/advise.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>

#include "solver/advice/by_eye.hpp"
#include "solver/advice/crosscut.hpp"

namespace flitchwise {
namespace {

constexpr double kLimitsShare = 0.7;    // of the time; a cross-cut, where it is possible, takes the rest
constexpr double kLeastTime_s = 0.001;  // in less nothing is found
constexpr double kNodesASecond = 3000;  // slower than most machines: work ends before the time does
constexpr std::uint64_t kLooks = 60;    // of the nodes, for each look at a piece of the log, cut in two
constexpr std::uint64_t kPieces = 15;   // and for the plan of each

std::optional<CrosscutAdvice> crosscut_advice(const LogModel& log, const solver::SawPlan& plan,
                                              double seconds, std::uint64_t nodes) {
  solver::CrosscutOptions options;
  options.time_limit_s = options.piece_limit_s = std::max(seconds, kLeastTime_s);
  options.look_nodes = std::max<std::uint64_t>(1, nodes / kLooks);
  options.piece_nodes = std::max<std::uint64_t>(1, nodes / kPieces);
  const auto cut = solver::best_crosscut(log, plan.targets, plan.options, options);
  if (!cut) {
    return std::nullopt;
  }
  CrosscutAdvice advice;
  advice.x_m = cut->cut_x_m;
  advice.yield = {cut->boards, cut->value};
  advice.complete = cut->complete;
  for (const solver::SawPlan& piece : cut->plans) {
    advice.of_pieces.push_back(static_cast<int>(piece.boards.size()));
  }
  return advice;
}

}  // namespace

Advice advise(const LogModel& log, const solver::SawPlan& plan, double seconds) {
  const auto start = std::chrono::steady_clock::now();
  Advice advice;
  const solver::SawPlan by_eye = solver::plan_by_eye(log, plan.targets, plan.options);
  advice.by_eye = {static_cast<int>(by_eye.boards.size()), by_eye.value};
  if (seconds <= 0) {
    return advice;
  }
  advice.seconds = seconds;
  const auto nodes = static_cast<std::uint64_t>(std::ceil(kNodesASecond * kLimitsShare * seconds));
  solver::WhatLimitsOptions limits;
  limits.time_limit_s = kLimitsShare * seconds;
  limits.most_nodes = nodes;
  advice.limits = solver::what_limits(log, plan, limits);
  const double passed_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  advice.crosscut = crosscut_advice(log, plan, seconds - passed_s, nodes);
  return advice;
}

}  // namespace flitchwise
