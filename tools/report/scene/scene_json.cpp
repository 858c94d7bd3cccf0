#include "tools/report/scene/scene_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "scan/model/units.hpp"

namespace flitchwise::report {
namespace {

using Json = nlohmann::ordered_json;

double tenth_mm(double length_m) {
  constexpr double kTenths = 10;
  return std::round(length_m * kMmAMetre * kTenths) / kTenths + 0.0;
}

template <typename Value>
Json json_of(const Value& value) {
  if constexpr (Described<Value>) {
    Json json = Json::object();
    for_each_field(
        value, [&](std::string_view name, const auto& field) { json[std::string(name)] = json_of(field); });
    return json;
  } else if constexpr (std::is_same_v<Value, Role>) {
    return role_name(value);
  } else if constexpr (std::is_same_v<Value, Align>) {
    return static_cast<int>(value) - static_cast<int>(Align::middle);
  } else if constexpr (std::is_same_v<Value, Spot>) {
    Json json = {tenth_mm(value.at_m.x()), tenth_mm(value.at_m.y())};
    if (!value.aside.isZero()) {
      json.insert(json.end(), {value.aside.x(), value.aside.y()});
    }
    return json;
  } else if constexpr (std::is_convertible_v<Value, std::string> || std::is_arithmetic_v<Value>) {
    return value;
  } else {
    Json json = Json::array();
    for (const auto& element : value) {
      json.push_back(json_of(element));
    }
    return json;
  }
}

}  // namespace

Json scene_json(const Scene& scene) {
  return json_of(scene);
}

}  // namespace flitchwise::report
