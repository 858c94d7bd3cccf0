/// plan.schema.json against what is written, both ways.

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

#include "tests/tools/advice_fixture.hpp"
#include "tests/tools/report_fixture.hpp"
#include "tools/report/plan_json.hpp"

namespace flitchwise::test {
namespace {

using Json = nlohmann::json;
using Names = std::set<std::string>;

Names names_in(const Json& object) {
  Names names;
  for (const auto& item : object.items()) {
    names.insert(item.key());
  }
  return names;
}

/// Empty if every object of `value` has exactly the keys of its schema and every array its length; else where
/// not.
std::string schema_breach(const Json& value, const Json& schema, const std::string& where) {
  if (value.is_object()) {
    if (names_in(value) != names_in(schema.at("properties")) || schema.at("additionalProperties") != false ||
        schema.at("required").size() != value.size()) {
      return where;
    }
    for (const auto& item : value.items()) {
      std::string inner =
          schema_breach(item.value(), schema["properties"][item.key()], where + "/" + item.key());
      if (!inner.empty()) {
        return inner;
      }
    }
  }
  if (value.is_array()) {
    if (schema.contains("maxItems") && value.size() != schema["maxItems"]) {
      return where + " has another length";
    }
    for (const Json& item : value) {
      std::string inner = schema_breach(item, schema.at("items"), where + "[]");
      if (!inner.empty()) {
        return inner;
      }
    }
  }
  return schema.contains("description") || schema.contains("type") || schema.contains("enum") ? "" : where;
}

/// Every key with the way to it.
void add_keys(const Json& value, const std::string& where, Names& keys) {
  if (value.is_object()) {
    for (const auto& item : value.items()) {
      keys.insert(where + "/" + item.key());
      add_keys(item.value(), where + "/" + item.key(), keys);
    }
  }
  if (value.is_array()) {
    for (const Json& item : value) {
      add_keys(item, where + "[]", keys);
    }
  }
}

/// The same of what a schema allows.
void add_schema_keys(const Json& schema, const std::string& where, Names& keys) {
  if (schema.contains("properties")) {
    for (const auto& item : schema["properties"].items()) {
      keys.insert(where + "/" + item.key());
      add_schema_keys(item.value(), where + "/" + item.key(), keys);
    }
  }
  if (schema.contains("items")) {
    add_schema_keys(schema["items"], where + "[]", keys);
  }
}

/// Made by hand, with all that a plan can have and most have not.
ReportedLog with_everything() {
  ReportedLog made = made_by_hand();
  made.advice = all_advice();
  made.plan.options.short_lengths_m = {2.0};
  solver::ShortBoard board;
  board.id = "s1";
  board.length_m = 2.0;
  board.corners_m.fill(Eigen::Vector3d(1, 0, 0.1));
  made.plan.short_boards = {board};
  made.sheet.high_spots = {{1.2, 0.1, 0.004, 1.1, 1.3}};
  made.sheet.screw_faults = {{1, 2, true, 0.003, 0.02}};
  made.sheet.brackets = {3.1, 3.11, 0.002};
  solver::FlitchLayout layout;
  layout.windows = {{0, 0, 3, {{0.01, 0.02}}, {0}}};
  made.sheet.flitches = {layout};
  solver::CantRail rail;
  rail.supports = made.sheet.supports;
  made.sheet.cant_rails = {rail};
  return made;
}

TEST_CASE("plan.json has every key of its schema and no other") {
  std::ifstream file(FLITCHWISE_PLAN_SCHEMA);
  REQUIRE(file);
  const Json schema = Json::parse(file);
  Names written;
  for (const ReportedLog& made : {made_by_hand(), made_by_solver(3), with_everything()}) {
    const Json plan = Json::parse(plan_json(made.report()));
    CHECK(schema_breach(plan, schema, "").empty());
    add_keys(plan, "", written);
  }
  Names described;
  add_schema_keys(schema, "", described);
  Names never_written;
  std::set_difference(described.begin(), described.end(), written.begin(), written.end(),
                      std::inserter(never_written, never_written.end()));
  CHECK(never_written == Names());
}

}  // namespace
}  // namespace flitchwise::test
