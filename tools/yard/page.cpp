#include "tools/yard/page.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/report/page.hpp"
#include "tools/yard/map.hpp"
#include "tools/yard/page_parts.hpp"
#include "tools/yard/tables.hpp"
#include "tools/yard/words.hpp"

namespace flitchwise::yard {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kDecimals = 1000;  // of cubic metres, and of metres on the map

double rounded(double value, double steps = 1) {
  return std::round(value * steps) / steps + 0.0;
}

Json links_of(const YardLog& log, const CandidatePlan& plan) {
  const std::string page = report::page_available() ? "plan.html" : "sheet.pdf";
  Json links = Json::array();
  if (log.plan_folder.empty()) {
    return links;
  }
  if (plan.pieces.size() == 1) {
    links.push_back({{"words", "Plan"}, {"to", (log.plan_folder / page).string()}});
    links.push_back({{"words", "Sheet"}, {"to", (log.plan_folder / "sheet.pdf").string()}});
    return links;
  }
  for (std::size_t i = 0; i < plan.pieces.size(); ++i) {
    if (plan.pieces[i]) {
      const auto folder = log.plan_folder / ("piece-" + std::to_string(i + 1));
      links.push_back({{"words", i == 0 ? "Plan of the small end's piece" : "Plan of the large end's piece"},
                       {"to", (folder / page).string()}});
    }
  }
  return links;
}

Json log_json(const solver::Order& order, const YardLog& log) {
  Json json = {{"name", log.name}, {"state", state_words(log.state)}, {"message", message_words(log)}};
  if (log.file != log.name) {
    json["file"] = log.file;
  }
  if (log.plans.length_m > 0) {
    json["length_mm"] = rounded(log.plans.length_m * kMmAMetre);
    json["small_end_mm"] = rounded(log.plans.small_end_diameter_m * kMmAMetre);
    json["large_end_mm"] = rounded(log.plans.large_end_diameter_m * kMmAMetre);
    json["volume_m3"] = rounded(log.plans.volume_m3, kDecimals);
    json["weight_kg"] = rounded(log.plans.weight_kg);
  }
  if (const CandidatePlan* plan = chosen_plan(log)) {
    constexpr double kTenths = 10;
    json["saw_as"] = log.saw_as;
    json["becomes"] = boards_words(order, plan->boards);
    json["boards"] = plan->boards;
    json["value"] = rounded(plan->value, kDecimals);
    json["margin_mm"] = rounded(plan->margin_m * kMmAMetre, kTenths);
    json["first"] = first_words(*plan);
    json["picture"] = plan->picture;
    json["links"] = links_of(log, *plan);
  } else if (!log.plans.candidates.empty()) {
    json["could_become"] = boards_words(order, log.plans.candidates.front().boards);
    json["picture"] = log.plans.candidates.front().picture;
  }
  return json;
}

Json order_json(const solver::Order& order, const YardResult& result) {
  Json lines = Json::array();
  for (std::size_t i = 0; i < order.lines.size(); ++i) {
    const solver::OrderLine& line = order.lines[i];
    const solver::LineResult& got = result.allocation.lines[i];
    Json json = {{"target", line.target.name}, {"ordered", line.quantity}, {"on_hand", line.on_hand},
                 {"made", got.made},           {"short", got.short_by},    {"over", got.over},
                 {"priority", line.priority},  {"due", line.due},          {"use", line.use}};
    if (got.short_by > 0) {
      json["missing"] = missing_words(order, result, i);
    }
    lines.push_back(std::move(json));
  }
  return lines;
}

Json maps_json(const YardResult& result) {
  Json json = Json::array();
  for (const LogMap& map : maps_of(result)) {
    Eigen::Vector2d corner = map.places.front().small_end_m;
    for (const LogMap::Place& place : map.places) {
      corner = corner.cwiseMin(place.small_end_m).cwiseMin(place.large_end_m);
    }
    Json places = Json::array();
    for (const LogMap::Place& place : map.places) {
      const auto of = [&](const Eigen::Vector2d& point_m) {
        const Eigen::Vector2d p = point_m - corner;
        return Json{rounded(p.x(), kDecimals), rounded(p.y(), kDecimals)};
      };
      places.push_back(
          {{"log", place.log}, {"small", of(place.small_end_m)}, {"large", of(place.large_end_m)}});
    }
    json.push_back({{"title", map.title}, {"places", places}});
  }
  return json;
}

void fill(std::string& page, const std::string& place, std::string_view with) {
  const std::size_t at = page.find(place);
  require(at != std::string::npos, "the page has no place for " + place);
  page.replace(at, place.size(), with);
}

}  // namespace

std::string yard_page(const solver::Order& order, const YardResult& result) {
  Json logs = Json::array();
  for (const YardLog& log : result.logs) {
    logs.push_back(log_json(order, log));
  }
  const Json data = {{"message", allocation_words(result.allocation)},
                     {"proof", proof_words(result.allocation)},
                     {"notes", result.notes},
                     {"lines", order_json(order, result)},
                     {"logs", logs},
                     {"maps", maps_json(result)}};
  std::string text = data.dump(-1, ' ', false, Json::error_handler_t::replace);
  for (std::size_t at = text.find('<'); at != std::string::npos; at = text.find('<', at)) {
    text.replace(at, 1, "\\u003c");  // "</" would end the element that holds it
  }
  std::string page(page_frame());
  fill(page, "/*style*/", std::string(page_shared_style()) + std::string(page_style()));
  fill(page, "/*program*/", page_program());
  fill(page, "/*data*/", text);
  return page;
}

}  // namespace flitchwise::yard
