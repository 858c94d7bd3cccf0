#include "tools/simulate/truth_json.hpp"

#include <array>
#include <cmath>

#include "scan/model/units.hpp"

namespace flitchwise::simulate {

namespace {

using nlohmann::json;

constexpr double kKeep_mm = 1e4;  // lengths are rounded to a tenth of a micrometre: the file stays small

double mm(double metres) {
  return std::round(metres * kMmAMetre * kKeep_mm) / kKeep_mm;
}

template <typename Vector>
json mm_list(const Vector& values) {
  json list = json::array();
  for (const double value : values) {
    list.push_back(mm(value));
  }
  return list;
}

json plain(const Eigen::Vector3d& vector) {
  return {vector.x(), vector.y(), vector.z()};
}

json end_json(const TruthEnd& end) {
  return {{"point_mm", mm_list(end.point_m)}, {"normal", plain(end.normal)}};
}

constexpr std::array<const char*, 3> kBumpNames{"knot", "stub", "lump"};  // by Bump::Kind

json bumps_json(const Truth& truth, bool lumps) {
  json list = json::array();
  for (const Bump& bump : truth.bumps) {
    if ((bump.kind == Bump::Kind::lump) == lumps) {
      list.push_back({{"kind", kBumpNames.at(static_cast<std::size_t>(bump.kind))},
                      {"x_mm", mm(bump.x_m)},
                      {"theta_deg", bump.theta_rad / kRadADegree},
                      {"height_mm", mm(bump.height_m)},
                      {"extent_mm", mm(bump.extent_m)}});
    }
  }
  return list;
}

json stations_json(const Truth& truth) {
  json list = json::array();
  for (const TruthStation& station : truth.stations) {
    list.push_back({{"x_mm", mm(station.x_m)},
                    {"centre_mm", {mm(station.x_m), mm(station.centre_m.x()), mm(station.centre_m.y())}},
                    {"bark_radius_mm", mm_list(station.bark_radius_m)},
                    {"wood_radius_mm", mm_list(station.wood_radius_m)},
                    {"seen", std::vector<int>(station.seen.begin(), station.seen.end())}});
  }
  return list;
}

json log_json(const Truth& truth) {
  return {{"length_mm", mm(truth.length_m)},
          {"usable_length_mm", mm(truth.usable_length_m)},
          {"small_end_diameter_mm", mm(truth.bark_diameter_m(0))},
          {"large_end_diameter_mm", mm(truth.bark_diameter_m(truth.stations.size() - 1))},
          {"sweep_mm", mm(truth.sweep_m())},
          {"bark_mm", mm(truth.bark_m)},
          {"seen_share", truth.seen_share()}};
}

}  // namespace

json truth_json(const Truth& truth, const FileFrame& file, const json& options) {
  json out;
  out["format"] = "flitchwise-truth";
  out["version"] = 1;
  out["seed"] = truth.seed;
  out["options"] = options;
  out["file"] = {{"up", file.y_up ? "y" : "z"},
                 {"z_up_from_file", file.y_up ? "(x, -z, y)" : "(x, y, z)"},
                 {"mm_per_file_unit", kMmAMetre / file.file_units_per_m}};
  out["frame"] = {{"origin_scan_mm", mm_list(truth.origin_in_scan_m)},
                  {"axes_scan",
                   {plain(truth.scan_from_log.col(0)), plain(truth.scan_from_log.col(1)),
                    plain(truth.scan_from_log.col(2))}}};
  out["log"] = log_json(truth);
  out["end_planes"] = {{"small_end", end_json(truth.small_end)}, {"large_end", end_json(truth.large_end)}};
  out["pith"] = {{"small_end_mm", mm_list(truth.pith_small_end_m)},
                 {"large_end_mm", mm_list(truth.pith_large_end_m)}};
  out["knots"] = bumps_json(truth, false);
  out["bark_lumps"] = bumps_json(truth, true);
  out["stations"] = stations_json(truth);
  return out;
}

}  // namespace flitchwise::simulate
