#pragma once
/// Advice with every part that it can have.

#include "tools/report/advice_words.hpp"

namespace flitchwise::test {

/// For a plan with one target.
inline Advice all_advice() {
  using solver::Change;
  solver::WhatLimits limits;
  limits.next_board = {0.0035, 0.0033, 1.85, 0.785, 0.0012, true};
  const double roll_rad = 0.6109;  // 35 degrees
  limits.changes = {
      {Change::Kind::kerf, 0, 0.009, 0.0075, 3, 1, 1},    {Change::Kind::width, 0, 0.15, 0.146, 3, 1, 1},
      {Change::Kind::thickness, 0, 0.05, 0.048, 4, 2, 2}, {Change::Kind::length, 0, 3.0, 2.88, 3, 1, 1},
      {Change::Kind::roll, 0, 0, -roll_rad, 4, 2, 2},     {Change::Kind::confidence, 0, 2, 1.5, 3, 1, 1},
      {Change::Kind::surface, 0, 2, 0, 3, 1, 1}};
  limits.complete = true;
  Advice advice;
  advice.by_eye = {1, 1};
  advice.limits = limits;
  advice.crosscut = {3.1, {4, 4}, {3, 1}, true};
  advice.seconds = 2;
  return advice;
}

}  // namespace flitchwise::test
