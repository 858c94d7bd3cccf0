#include "tools/report/advice_json.hpp"

#include <cmath>

#include "scan/model/units.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {
namespace {

using Json = nlohmann::ordered_json;
using solver::Change;

double to_digits(double value, double digits) {
  const double rounded = std::round(value * digits) / digits;
  return rounded == 0 ? 0 : rounded;  // never -0
}
double tenths_mm(double length_m) {
  return to_digits(length_m * kMmAMetre, 10);
}
double tenths_deg(double radians) {
  return to_digits(degrees(radians), 10);
}
double thousandths(double value) {
  return to_digits(value, 1000);
}

std::string kind_text(Change::Kind kind) {
  switch (kind) {
    case Change::Kind::kerf:
      return "kerf";
    case Change::Kind::width:
      return "width";
    case Change::Kind::thickness:
      return "thickness";
    case Change::Kind::length:
      return "length";
    case Change::Kind::roll:
      return "roll";
    case Change::Kind::confidence:
      return "confidence";
    case Change::Kind::surface:
      break;
  }
  return "surface";
}

Json change_json(const Change& change, const solver::SawPlan& plan) {
  Json target = nullptr;
  std::string unit = "mm";
  double from = tenths_mm(change.from);
  double to = tenths_mm(change.to);
  switch (change.kind) {
    case Change::Kind::width:
    case Change::Kind::thickness:
    case Change::Kind::length:
      target = plan.targets.at(change.target).name;
      break;
    case Change::Kind::kerf:
      break;
    case Change::Kind::roll:
      unit = "deg";
      from = tenths_deg(change.from);
      to = tenths_deg(change.to);
      break;
    case Change::Kind::confidence:
    case Change::Kind::surface:
      unit = "sigmas";
      from = change.from;
      to = change.to;
      break;
  }
  return {{"kind", kind_text(change.kind)},
          {"target", target},
          {"from", from},
          {"to", to},
          {"unit", unit},
          {"boards", change.boards},
          {"boards_gained", change.boards_gained},
          {"value_gained", thousandths(change.value_gained)}};
}

Json spot_json(const solver::BindingSpot& spot) {
  return {{"missing_mm", tenths_mm(spot.missing_m)},
          {"larger_mm", tenths_mm(spot.larger_m)},
          {"x_mm", tenths_mm(spot.x_m)},
          {"theta_deg", tenths_deg(spot.theta_rad)},
          {"sigma_mm", tenths_mm(spot.sigma_m)},
          {"seen", spot.seen}};
}

Json limits_json(const solver::WhatLimits& limits, const solver::SawPlan& plan) {
  Json changes = Json::array();
  for (const Change& change : limits.changes) {
    changes.push_back(change_json(change, plan));
  }
  return {{"next_board", limits.next_board ? spot_json(*limits.next_board) : Json(nullptr)},
          {"changes", changes},
          {"complete", limits.complete}};
}

}  // namespace

Json advice_json(const Advice& advice, const solver::SawPlan& plan) {
  Json json;
  json["by_eye"] = nullptr;
  json["limits"] = nullptr;
  json["crosscut"] = nullptr;
  if (advice.by_eye) {
    json["by_eye"] = {{"boards", advice.by_eye->boards}, {"value", thousandths(advice.by_eye->value)}};
  }
  if (advice.limits) {
    json["limits"] = limits_json(*advice.limits, plan);
  }
  if (advice.crosscut) {
    json["crosscut"] = {{"x_mm", tenths_mm(advice.crosscut->x_m)},
                        {"boards", advice.crosscut->yield.boards},
                        {"value", thousandths(advice.crosscut->yield.value)},
                        {"boards_of_pieces", advice.crosscut->of_pieces},
                        {"complete", advice.crosscut->complete}};
  }
  return json;
}

}  // namespace flitchwise::report
