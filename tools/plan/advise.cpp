#include "plan/advise.hpp"

#include <chrono>

#include "flitchwise/solver/by_eye.hpp"
#include "flitchwise/solver/crosscut.hpp"

namespace flitchwise {
namespace {

constexpr double kLimitsShare = 0.7;    // of the time; a cross-cut, where it is possible, takes the rest
constexpr double kLeastTime_s = 0.001;  // in less nothing is found
constexpr double kPiece_s = 0.5;        // for each piece of the cross-cut log: most are found at once

std::optional<report::CrosscutAdvice> crosscut_advice(const LogModel& log, const solver::SawPlan& plan,
                                                      double seconds) {
  const auto cut =
      solver::best_crosscut(log, plan.targets, plan.options, {std::max(seconds, kLeastTime_s), kPiece_s});
  if (!cut) {
    return std::nullopt;
  }
  report::CrosscutAdvice advice;
  advice.x_m = cut->cut_x_m;
  advice.yield = {cut->boards, cut->value};
  advice.complete = cut->complete;
  for (const solver::SawPlan& piece : cut->plans) {
    advice.of_pieces.push_back(static_cast<int>(piece.boards.size()));
  }
  return advice;
}

}  // namespace

report::Advice advise(const LogModel& log, const solver::SawPlan& plan, double seconds) {
  const auto start = std::chrono::steady_clock::now();
  report::Advice advice;
  const solver::SawPlan by_eye = solver::plan_by_eye(log, plan.targets, plan.options);
  advice.by_eye = {static_cast<int>(by_eye.boards.size()), by_eye.value};
  if (seconds <= 0) {
    return advice;
  }
  advice.seconds = seconds;
  solver::WhatLimitsOptions limits;
  limits.time_limit_s = kLimitsShare * seconds;
  advice.limits = solver::what_limits(log, plan, limits);
  const double passed_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  advice.crosscut = crosscut_advice(log, plan, seconds - passed_s);
  return advice;
}

}  // namespace flitchwise
