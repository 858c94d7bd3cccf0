#include "solver/setup/kit.hpp"

#include <cmath>
#include <sstream>

namespace flitchwise::solver {
namespace {

constexpr double kMm = 0.001;
constexpr double kOne = 1;
constexpr double kGram = 0.001;

/// The limits only catch slips of a unit or of a decimal point.
constexpr KitKey kKeys[] = {
    {"rail", "length_mm", &Kit::rail_length_m, kMm, 300, 20000},
    {"rail", "width_mm", &Kit::rail_width_m, kMm, 10, 1000},
    {"rail", "height_mm", &Kit::rail_height_m, kMm, 1, 500},
    {"rail", "weight_kg", &Kit::rail_weight_kg, kOne, 0, 300},
    {"rail", "ei_n_m2", &Kit::rail_ei_n_m2, kOne, 10, 1e8},
    {"rail", "least_overlap_mm", &Kit::least_overlap_m, kMm, 0, 5000},
    {"supports", "thickness_mm", &Kit::support_thickness_m, kMm, 0, 300, false},
    {"supports", "width_mm", &Kit::support_width_m, kMm, 0, 500, false},
    {"screws", "spacing_mm", &Kit::screw_spacing_m, kMm, 0, 1500},
    {"screws", "reach_min_mm", &Kit::screw_reach_min_m, kMm, 0, 1000},
    {"screws", "reach_max_mm", &Kit::screw_reach_max_m, kMm, 1, 1000},
    {"screws", "bite_mm", &Kit::screw_bite_m, kMm, 0, 100},
    {"screws", "to_cut_mm", &Kit::screw_to_cut_m, kMm, 0, 200},
    {"screws", "diameter_mm", &Kit::screw_diameter_m, kMm, 0, 50, false},
    {"screws", "wood_screw_bite_mm", &Kit::wood_screw_bite_m, kMm, 0, 300, false},
    {"brackets", "width_mm", &Kit::bracket_width_m, kMm, 0, 1500, false},
    {"brackets", "height_mm", &Kit::bracket_height_m, kMm, 0, 500, false},
    {"saw", "weight_kg", &Kit::saw_weight_kg, kOne, 0, 100},
    {"saw", "usable_bar_mm", &Kit::saw_usable_bar_m, kMm, 100, 3000},
    {"saw", "depth_min_mm", &Kit::saw_depth_min_m, kMm, 0, 1000},
    {"saw", "depth_max_mm", &Kit::saw_depth_max_m, kMm, 10, 2000},
    {"saw", "kerf_mm", &Kit::kerf_m, kMm, 0, 50},
    {"saw", "opening_deeper_mm", &Kit::opening_deeper_m, kMm, 0, 500, false},
    {"truing", "height_mm", &Kit::string_height_m, kMm, 0, 500, false},
    {"truing", "gauge_mm", &Kit::gauge_m, kMm, 0, 100, false},
    {"truing", "weight_g_m", &Kit::string_kg_m, kGram, 0, 100, false},
    {"truing", "tension_n", &Kit::string_tension_n, kOne, 0, 1000, false},
    {"limits", "bark_clearance_mm", &Kit::bark_clearance_m, kMm, 0, 100},
    {"limits", "sag_mm", &Kit::most_sag_m, kMm, 0.01, 100},
};

KitFault range_fault(const Kit& kit) {
  for (const KitKey& key : kKeys) {
    const double value = kit.*(key.member) / key.unit;
    const double slack = 1e-9 * std::abs(value);  // for the way from the file's unit and back
    if (!(value >= key.least - slack && value <= key.most + slack)) {
      const std::string name = std::string(key.table) + "." + key.name;
      return {name, name + " is " + number_text(value) + ", but must lie between " + number_text(key.least) +
                        " and " + number_text(key.most)};
    }
  }
  return {};
}

KitFault support_fault(const Kit& kit) {
  const std::string key = "supports.positions_mm";
  const auto& positions = kit.support_positions_m;
  if (positions.size() < 2) {
    return {key,
            key + " names " + std::to_string(positions.size()) + " supports, but a rail needs two or more"};
  }
  for (std::size_t i = 0; i < positions.size(); ++i) {
    const std::string value = key + " holds " + number_text(positions[i] / kMm);
    if (!(positions[i] >= 0 && positions[i] <= kit.rail_length_m)) {
      return {key, value + ", but a support must lie on the rail, between 0 and rail.length_mm, " +
                       number_text(kit.rail_length_m / kMm)};
    }
    if (i > 0 && !(positions[i] > positions[i - 1])) {
      return {key, value + " after " + number_text(positions[i - 1] / kMm) + ", but must ascend"};
    }
  }
  return {};
}

/// `larger` must exceed `smaller`.
KitFault order_fault(const std::string& larger, double larger_m, const std::string& smaller,
                     double smaller_m) {
  if (larger_m > smaller_m) {
    return {};
  }
  return {larger, larger + " is " + number_text(larger_m / kMm) + ", but must exceed " + smaller + ", " +
                      number_text(smaller_m / kMm)};
}

/// What only some kits have must be there as a whole.
KitFault extras_fault(const Kit& kit) {
  const auto missing = [](const std::string& key, const std::string& because) {
    return KitFault{key, key + " is missing or 0, but must be given " + because};
  };
  if ((kit.bracket_width_m > 0) != (kit.bracket_height_m > 0)) {
    return missing(kit.bracket_width_m > 0 ? "brackets.height_mm" : "brackets.width_mm",
                   "where the kit has brackets");
  }
  if (kit.truing == Kit::Truing::string && !(kit.string_height_m > 0)) {
    return missing("truing.height_mm", "where truing.method is \"string\"");
  }
  if (kit.truing == Kit::Truing::string && !(kit.string_height_m >= kit.gauge_m)) {
    return {"truing.gauge_mm", "truing.gauge_mm is " + number_text(kit.gauge_m / kMm) +
                                   ", but the gauge goes under the string, which is " +
                                   number_text(kit.string_height_m / kMm) +
                                   " above the rail plane (truing.height_mm)"};
  }
  if (kit.truing == Kit::Truing::string && (kit.string_kg_m > 0) != (kit.string_tension_n > 0)) {
    return missing(kit.string_kg_m > 0 ? "truing.tension_n" : "truing.weight_g_m",
                   "so that the string's sag can be reckoned");
  }
  return {};
}

}  // namespace

std::span<const KitKey> kit_keys() {
  return kKeys;
}

std::string number_text(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

KitFault find_fault(const Kit& kit) {
  const KitFault faults[] = {
      range_fault(kit),
      support_fault(kit),
      order_fault("screws.reach_max_mm", kit.screw_reach_max_m, "screws.reach_min_mm", kit.screw_reach_min_m),
      order_fault("saw.depth_max_mm", kit.saw_depth_max_m, "saw.depth_min_mm", kit.saw_depth_min_m),
      order_fault("rail.length_mm", kit.rail_length_m, "rail.least_overlap_mm", kit.least_overlap_m),
      order_fault("saw.depth_max_mm", kit.saw_depth_max_m, "rail.height_mm", kit.rail_height_m),
      extras_fault(kit),
  };
  for (const KitFault& fault : faults) {
    if (!fault.key.empty()) {
      return fault;
    }
  }
  return {};
}

std::string find_error(const Kit& kit) {
  return find_fault(kit).text;
}

Kit plain_kit() {
  Kit kit;
  kit.rail_length_m = 4.2;  // one piece for the common 3.0 and 3.6 m boards
  kit.rail_width_m = 0.2;
  kit.rail_height_m = 0.05;
  kit.rail_weight_kg = 18;
  kit.rail_ei_n_m2 = 48000;  // an aluminium hollow section of 200 x 50 x 3 mm
  kit.least_overlap_m = 0.6;
  kit.support_positions_m = {0.1, 0.6, 1.1, 1.6, 2.1, 2.6, 3.1, 3.6, 4.1};
  kit.screw_spacing_m = 0.14;
  kit.screw_reach_min_m = 0.02;
  kit.screw_reach_max_m = 0.15;
  kit.screw_bite_m = 0.01;
  kit.screw_to_cut_m = 0.015;
  kit.saw_weight_kg = 14;
  kit.saw_usable_bar_m = 0.6;
  kit.saw_depth_min_m = 0.02;
  kit.saw_depth_max_m = 0.35;
  kit.kerf_m = 0.009;
  kit.bark_clearance_m = 0.005;
  kit.most_sag_m = 0.001;
  return kit;
}

}  // namespace flitchwise::solver
