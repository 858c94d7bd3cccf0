#include "tools/report/page.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/page/page_template.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/packed.hpp"
#include "tools/report/page_steps.hpp"
#include "tools/report/plan_json.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/report/scene/end_face.hpp"
#include "tools/report/scene/scene_json.hpp"
#include "tools/report/sheet_words.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kTenths = 10;  // of a millimetre: what plan.json keeps of a radius
constexpr std::string_view kPlace = "/*flitchwise-data*/";

double tenth_mm(double length_m) {
  return std::round(length_m * kMmAMetre * kTenths) / kTenths + 0.0;
}

template <typename Vector>
Json point_json(const Vector& point_m) {
  Json json = Json::array();
  for (Eigen::Index i = 0; i < point_m.size(); ++i) {
    json.push_back(tenth_mm(point_m[i]));
  }
  return json;
}

Json vector_json(const Eigen::Vector3d& vector) {
  return {vector.x(), vector.y(), vector.z()};
}

/// The sections, station by station: bark, wood and the sigmas of both at every angle in tenths of a
/// millimetre, and a byte an angle that is 1 where the surface was seen.
Json sections_json(const LogModel& log) {
  Json x = Json::array();
  Json centres = Json::array();
  std::string lengths;
  std::string seen;
  for (const Station& station : log.stations) {
    x.push_back(tenth_mm(station.x_m));
    centres.push_back(point_json(station.centre_m));
    for (const auto* values :
         {&station.bark_radius_m, &station.wood_radius_m, &station.bark_sigma_m, &station.wood_sigma_m}) {
      for (const double value_m : *values) {
        append_u16(lengths, value_m * kMmAMetre * kTenths);
      }
    }
    for (const char one : station.seen) {
      seen += one != 0 ? '\1' : '\0';
    }
  }
  return {{"angles", log.angle_count()},
          {"x_mm", x},
          {"centre_mm", centres},
          {"tenths", base64(lengths)},
          {"seen", base64(seen)}};
}

/// Points as 16-bit steps within their box; the step is well under a millimetre.
Json points_json(const SeenPoints& points) {
  constexpr float kSteps = 65535;
  if (points.in_log_m.empty()) {
    return nullptr;
  }
  Eigen::Vector3f least = points.in_log_m.front();
  Eigen::Vector3f most = least;
  for (const Eigen::Vector3f& point : points.in_log_m) {
    least = least.cwiseMin(point);
    most = most.cwiseMax(point);
  }
  const float step = std::max((most - least).maxCoeff() / kSteps, 1e-6F);
  std::string places;
  for (const Eigen::Vector3f& point : points.in_log_m) {
    for (const float value : Eigen::Vector3f((point - least) / step)) {
      append_u16(places, static_cast<double>(value));
    }
  }
  std::string colours;
  for (const auto& colour : points.colours) {
    colours.append(colour.begin(), colour.end());
  }
  const Eigen::Vector3d corner = least.cast<double>();
  return {{"count", points.in_log_m.size()},
          {"least_m", vector_json(corner)},
          {"step_m", static_cast<double>(step)},
          {"places", base64(places)},
          {"colours", base64(colours)}};
}

Json end_json(const EndPlane& end) {
  return {{"point_mm", point_json(end.point_m)}, {"normal", vector_json(end.normal)}, {"seen", end.seen}};
}

Json kit_json(const solver::SetupSheet& sheet) {
  const solver::Kit& kit = sheet.kit;
  return {{"rail_y_mm", tenth_mm(sheet.rail_y_m)},
          {"rail_width_mm", tenth_mm(kit.rail_width_m)},
          {"rail_height_mm", tenth_mm(kit.rail_height_m)},
          {"support_width_mm", tenth_mm(kit.support_width_m)},
          {"support_thickness_mm", tenth_mm(kit.support_thickness_m)},
          {"screw_spacing_mm", tenth_mm(kit.screw_spacing_m)}};
}

/// The opening cut's plane first, whether the stack has it or not.
Json planes_json(const Report& report) {
  std::vector<solver::CutPlane> planes = later_planes(report);
  planes.insert(planes.begin(), solver::opening_cut_plane(report.plan, report.sheet));
  Json json = Json::array();
  for (const solver::CutPlane& plane : planes) {
    json.push_back({{"point_mm", point_json(plane.point_m)}, {"normal", vector_json(plane.normal)}});
  }
  return json;
}

/// Steps and warnings in one unit.
Json words_json(const Report& report) {
  return {{"title", boards_words(report.units, report.plan)},
          {"proof", proof_words(report.units, report.plan)},
          {"margin", margin_words(report.units, report.plan)},
          {"warnings", all_warnings(report, report.units)},
          {"steps", steps_json(report)}};
}

Json words_in(Report report, Units units) {
  report.units = units;
  return words_json(report);
}

/// FNV-1a (Fowler, Noll, Vo; 64 bits): ticks belong to one plan.
std::string key_of(std::string_view text) {
  std::uint64_t hash = 14695981039346656037U;
  for (const char letter : text) {
    hash = (hash ^ static_cast<unsigned char>(letter)) * 1099511628211U;
  }
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string key;
  for (int shift = 60; shift >= 0; shift -= 4) {
    key += kDigits[hash >> static_cast<unsigned>(shift) & 15U];
  }
  return key;
}

Json common_json(const LogModel& log, const SeenPoints& points) {
  return {{"sections", sections_json(log)},
          {"points", points_json(points)},
          {"small_end", end_json(log.small_end)},
          {"large_end", end_json(log.large_end)},
          {"bark_source", words(log.bark_source)}};
}

/// The page with `data` in its place. Within a script element "</" and "<!--" would end or hide it.
std::string filled(const Json& data) {
  require(page_available(), "this build has no page: it was made without Node.js and npm");
  std::string text = data.dump(-1, ' ', false, Json::error_handler_t::replace);
  for (std::size_t at = text.find('<'); at != std::string::npos; at = text.find('<', at)) {
    text.replace(at, 1, "\\u003c");
  }
  std::string page;
  for (const std::string_view part : page_template()) {
    page += part;
  }
  const std::size_t place = page.find(kPlace);
  require(place != std::string::npos, "the page's template has no place for the data");
  return page.replace(place, kPlace.size(), text);
}

}  // namespace

bool page_available() {
  return !page_template().empty();
}

std::string page_html(const Report& report) {
  const std::string whole = plan_json(report);
  Json plan = Json::parse(whole);
  plan["log"].erase("stations");  // packed in `sections`
  Json data = {{"kind", "plan"},
               {"key", key_of(whole)},
               {"units", unit_name(report.units)},
               {"plan", plan},
               {"sigmas", report.plan.options.sigmas},
               {"planes", planes_json(report)},
               {"opening_plane", 0},
               {"kit", kit_json(report.sheet)}};
  data["words"] = {{"mm", words_in(report, Units::millimetres)}, {"in", words_in(report, Units::inches)}};
  data.update(common_json(report.log, report.points));
  return filled(data);
}

std::string look_page_html(const ScanInfo& scan, const LogModel& log, const SeenPoints& points,
                           const std::string& look, const std::vector<Fact>& warnings) {
  require(log.find_error().empty(), log.find_error());
  Json model = log_json(log);
  const std::string key = key_of(model.dump());
  model.erase("stations");
  Json data = {{"kind", "look"},
               {"key", key},
               {"units", "mm"},
               {"plan", {{"scan", scan_json(scan)}, {"log", model}}},
               {"sigmas", solver::SearchOptions{}.sigmas},
               {"look", look},
               {"ends", {scene_json(end_face(log, false)), scene_json(end_face(log, true))}}};
  for (const Units units : {Units::millimetres, Units::inches}) {
    Json told = Json::array();
    for (const Fact& warning : warnings) {
      told.push_back(words(warning, units));
    }
    data["words"][unit_name(units)] = {{"title", "What the scan shows"}, {"warnings", told}};
  }
  data.update(common_json(log, points));
  return filled(data);
}

}  // namespace flitchwise::report
