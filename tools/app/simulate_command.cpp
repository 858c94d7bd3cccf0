#include "tools/app/simulate_command.hpp"

#include <cmath>
#include <map>
#include <memory>
#include <numbers>
#include <optional>
#include <string>

#include "tools/simulate/simulate.hpp"
#include "tools/simulate/truth_json.hpp"

namespace flitchwise::simulate {

namespace {

constexpr double kMmPerM = 1000;

enum class Preset { photo, depth, perfect };

const std::map<std::string, Preset> presets = {
    {"photo", Preset::photo}, {"depth", Preset::depth}, {"perfect", Preset::perfect}};
const std::map<std::string, FileFormat> formats = {
    {"ply", FileFormat::ply_binary}, {"ply-ascii", FileFormat::ply_ascii}, {"xyz", FileFormat::xyz}};

// As on the command line: millimetres and degrees.
struct Request {
  std::string file;
  std::string truth_file;
  std::uint64_t seed = 1;
  Preset preset = Preset::photo;
  FileFormat format = FileFormat::ply_binary;
  std::optional<double> length_mm, small_end_mm, large_end_mm, sweep_mm, s_sweep_mm, flare_mm, waist_mm,
      ovality, bark_mm, end_tilt_deg, hardness;
  std::optional<int> knots, stubs, lumps;
  std::optional<double> grass_mm;
  std::optional<int> neighbours, bearers;
  bool no_ground = false;
  bool heavy_clutter = false;
  std::optional<double> spacing_mm, ground_spacing_mm, white_mm, correlated_mm, drift_mm, doubled_mm,
      loop_step_mm, floaters, scale_error;
  double part = 1;
  bool full_coverage = false;
  bool y_up = false;
  std::string units = "m";
};

std::optional<double> metres(const std::optional<double>& millimetres) {
  return millimetres ? std::optional<double>(*millimetres / kMmPerM) : std::nullopt;
}

LogWishes log_wishes(const Request& request) {
  LogWishes wishes;
  wishes.length_m = metres(request.length_mm);
  wishes.small_end_diameter_m = metres(request.small_end_mm);
  wishes.large_end_diameter_m = metres(request.large_end_mm);
  wishes.sweep_m = metres(request.sweep_mm);
  wishes.s_sweep_m = metres(request.s_sweep_mm);
  wishes.flare_m = metres(request.flare_mm);
  wishes.waist_m = metres(request.waist_mm);
  wishes.ovality = request.ovality;
  wishes.knots = request.knots;
  wishes.stubs = request.stubs;
  wishes.lumps = request.lumps;
  wishes.bark_m = metres(request.bark_mm);
  if (request.end_tilt_deg) {
    wishes.end_tilt_rad = *request.end_tilt_deg * std::numbers::pi / 180;
  }
  wishes.hardness = request.hardness;
  return wishes;
}

SceneWishes scene_wishes(const Request& request) {
  SceneWishes wishes;
  wishes.grass_m = metres(request.grass_mm);
  wishes.neighbours = request.neighbours;
  wishes.bearers = request.bearers;
  wishes.ground = !request.no_ground;
  wishes.heavy_clutter = request.heavy_clutter;
  return wishes;
}

Scanner preset_scanner(Preset preset) {
  switch (preset) {
    case Preset::photo:
      return photo_scanner();
    case Preset::depth:
      return depth_scanner();
    case Preset::perfect:
      break;
  }
  return perfect_scanner();
}

void set(double& field, const std::optional<double>& value) {
  field = value.value_or(field);
}

Scanner wanted_scanner(const Request& request) {
  Scanner scanner = preset_scanner(request.preset);
  const double ground_share = scanner.ground_spacing_m / scanner.spacing_m;
  set(scanner.spacing_m, metres(request.spacing_mm));
  scanner.ground_spacing_m = ground_share * scanner.spacing_m;
  set(scanner.ground_spacing_m, metres(request.ground_spacing_mm));
  set(scanner.white_sigma_m, metres(request.white_mm));
  set(scanner.correlated_sigma_m, metres(request.correlated_mm));
  set(scanner.drift_m, metres(request.drift_mm));
  set(scanner.doubled_m, metres(request.doubled_mm));
  set(scanner.loop_step_m, metres(request.loop_step_mm));
  set(scanner.floater_share, request.floaters);
  set(scanner.scale_error, request.scale_error);
  scanner.keep_part = request.part;
  scanner.full_coverage = request.full_coverage;
  return with_random_walk(scanner, request.seed);
}

nlohmann::json used_options(const LogShape& shape, const Scene& scene, const Scanner& scanner) {
  const auto mm = [](double value) { return value * kMmPerM; };
  nlohmann::json log = {{"length_mm", mm(shape.length_m)},
                        {"small_end_mm", mm(shape.small_end_diameter_m)},
                        {"large_end_mm", mm(shape.large_end_diameter_m)},
                        {"sweep_mm", mm(shape.sweep_m)},
                        {"s_sweep_mm", mm(shape.s_sweep_m)},
                        {"flare_mm", mm(shape.flare_m)},
                        {"waist_mm", mm(shape.waist_m)},
                        {"ovality", shape.ovality},
                        {"irregularity_mm", mm(shape.irregularity_m)},
                        {"bark_mm", mm(shape.bark_m)},
                        {"bark_ridge_mm", mm(shape.bark_ridge_m)},
                        {"bumps", shape.bumps.size()}};
  nlohmann::json around = {{"ground", scene.ground},
                           {"unevenness_mm", mm(scene.unevenness_m)},
                           {"grass_mm", mm(scene.grass_m)},
                           {"bearers", scene.bearers.size()},
                           {"neighbours", scene.neighbours.size()},
                           {"stump", scene.stump.has_value()},
                           {"heavy_clutter", scene.clutter_seed.has_value()}};
  nlohmann::json how = {{"spacing_mm", mm(scanner.spacing_m)},
                        {"white_mm", mm(scanner.white_sigma_m)},
                        {"correlated_mm", mm(scanner.correlated_sigma_m)},
                        {"facet_mm", mm(scanner.facet_m)},
                        {"drift_mm", mm(scanner.drift_m)},
                        {"doubled_mm", mm(scanner.doubled_m)},
                        {"loop_step_mm", mm(scanner.loop_step_m)},
                        {"floater_share", scanner.floater_share},
                        {"scale_error", scanner.scale_error},
                        {"keep_part", scanner.keep_part},
                        {"full_coverage", scanner.full_coverage},
                        {"rings", scanner.rings.size()}};
  return {{"log", log}, {"scene", around}, {"scanner", how}};
}

void run(const Request& request) {
  const LogShape shape = random_log(request.seed, log_wishes(request));
  const Scene scene = random_scene(request.seed, shape.length_m, scene_wishes(request));
  const Scanner scanner = wanted_scanner(request);
  const Simulation made = simulate(shape, scene, scanner, request.seed);
  const FileFrame frame{request.y_up, request.units == "mm" ? kMmPerM : 1};
  write_file(request.file, scan_bytes(made.scan, request.format, frame));
  if (!request.truth_file.empty()) {
    const nlohmann::json truth = truth_json(made.truth, frame, used_options(shape, scene, scanner));
    write_file(request.truth_file, truth.dump() + "\n");
  }
}

void add_log_options(CLI::App& command, Request& request) {
  const std::string group = "The log (what is not given is drawn from the seed)";
  const auto add = [&](const char* name, auto& field, const char* text, double low, double high) {
    command.add_option(name, field, text)->check(CLI::Range(low, high))->group(group);
  };
  add("--length-mm", request.length_mm, "length", 300, 20000);
  add("--small-end-mm", request.small_end_mm, "diameter over bark at the small end", 50, 1500);
  add("--large-end-mm", request.large_end_mm, "the same at the large end, without flare", 50, 2000);
  add("--sweep-mm", request.sweep_mm, "bow to one side", 0, 500);
  add("--s-sweep-mm", request.s_sweep_mm, "swing of an S, each way", 0, 300);
  add("--flare-mm", request.flare_mm, "extra diameter at the butt", 0, 500);
  add("--waist-mm", request.waist_mm, "missing diameter at a waist", 0, 750);
  add("--ovality", request.ovality, "largest over smallest diameter", 1, 1.5);
  add("--knots", request.knots, "number of knots", 0, 200);
  add("--stubs", request.stubs, "number of branch stubs", 0, 50);
  add("--lumps", request.lumps, "number of bark lumps", 0, 200);
  add("--bark-mm", request.bark_mm, "mean bark thickness", 0, 100);
  add("--end-tilt-deg", request.end_tilt_deg, "how far both end faces are out of square", 0, 20);
  add("--hardness", request.hardness, "0 straight and round to 1 as bad as they come", 0, 1);
}

void add_scene_options(CLI::App& command, Request& request) {
  const std::string group = "The scene";
  command.add_option("--grass-mm", request.grass_mm, "tallest grass")
      ->check(CLI::Range(0, 500))
      ->group(group);
  command.add_option("--neighbours", request.neighbours, "logs lying beside")
      ->check(CLI::Range(0, 4))
      ->group(group);
  command.add_option("--bearers", request.bearers, "blocks that the log lies on")
      ->check(CLI::Range(2, 3))
      ->group(group);
  command.add_flag("--no-ground", request.no_ground, "the log alone")->group(group);
  command
      .add_flag("--heavy-clutter", request.heavy_clutter,
                "a slope, grass, touching logs and blocks, people, a saw, branches, trees, a shed")
      ->excludes("--no-ground")
      ->group(group);
}

void add_scanner_options(CLI::App& command, Request& request) {
  const std::string group = "The scanner";
  const auto add = [&](const char* name, auto& field, const char* text, double low, double high) {
    command.add_option(name, field, text)->check(CLI::Range(low, high))->group(group);
  };
  command.add_option("--scanner", request.preset, "photo, depth or perfect")
      ->transform(CLI::CheckedTransformer(presets))
      ->option_text("NAME")
      ->group(group);
  add("--spacing-mm", request.spacing_mm, "of the points on the log", 1, 100);
  add("--ground-spacing-mm", request.ground_spacing_mm, "of the points on the ground", 1, 200);
  add("--white-mm", request.white_mm, "independent error of each point, 1 sigma", 0, 50);
  add("--correlated-mm", request.correlated_mm, "error that goes together over some cm, 1 sigma", 0, 50);
  add("--drift-mm", request.drift_mm, "slow bend of the scan along the log", 0, 100);
  add("--doubled-mm", request.doubled_mm, "a second copy of part of the surface this far off", 0, 100);
  add("--loop-step-mm", request.loop_step_mm, "the walk's end misses its start by this", 0, 200);
  add("--floaters", request.floaters, "share of points off every surface", 0, 0.2);
  add("--scale-error", request.scale_error, "the scan is this share too large", -0.2, 0.2);
  add("--part", request.part, "share of the log's length that the scan shows", 0.01, 1);
  command.add_flag("--full-coverage", request.full_coverage, "every side of the log is seen")->group(group);
}

}  // namespace

void add_simulate_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("simulate", "Make a scan of an invented log with its truth");
  auto request = std::make_shared<Request>();
  command->add_option("OUT", request->file, "scan file to write")->required();
  command->add_option("--truth", request->truth_file, "truth file to write (JSON)");
  command->add_option("--seed", request->seed, "the same seed gives the same file")->capture_default_str();
  command->add_option("--format", request->format, "ply, ply-ascii or xyz")
      ->transform(CLI::CheckedTransformer(formats))
      ->option_text("NAME");
  command->add_flag("--y-up", request->y_up, "write the file with y up");
  command->add_option("--units", request->units, "of the file")
      ->check(CLI::IsMember({"m", "mm"}))
      ->capture_default_str();
  add_log_options(*command, *request);
  add_scene_options(*command, *request);
  add_scanner_options(*command, *request);
  command->callback([request] { run(*request); });
}

}  // namespace flitchwise::simulate
