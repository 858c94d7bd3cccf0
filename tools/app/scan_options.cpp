#include "tools/app/scan_options.hpp"

#include <sstream>

#include "scan/model/errors.hpp"
#include "scan/model/species.hpp"
#include "scan/model/units.hpp"
#include "tools/job/option_values.hpp"
#include "tools/job/scale_points.hpp"

namespace flitchwise {
namespace {

constexpr Limits kBark{"--bark", 0, 150, " mm"};
constexpr Limits kScaleLength{"--scale-length", 300, 30000, " mm"};

/// "1.2,3.4,0.5" as a point.
Eigen::Vector3d point_of(const std::string& word) {
  std::istringstream text(word);
  Eigen::Vector3d point = Eigen::Vector3d::Zero();
  char first = 0;
  char second = 0;
  text >> point.x() >> first >> point.y() >> second >> point.z();
  require(!text.fail() && text.peek() == std::istringstream::traits_type::eof() && first == ',' &&
              second == ',' && point.allFinite(),
          "--near is '" + word +
              "', but must be a point of the file as X,Y,Z without blanks, for example 1.2,-0.5,0.3");
  return point;
}

/// Not every command has every option.
bool is_given(const CLI::App& command, const char* name) {
  const CLI::Option* option = command.get_option_no_throw(name);
  return option != nullptr && option->count() > 0;
}

}  // namespace

void add_scan_options(CLI::App& command, ScanWords& words) {
  command
      .add_option(
          "SCAN", words.scans,
          "Scan file: points in PLY, PCD, LAS, E57, OBJ or XYZ text, a mesh in PLY, OBJ, STL, glTF or "
          "GLB, or a folder of depth images; several of one log, lying as it lay, are merged")
      ->required();
  add_kind_options(command, words);
  command.add_option("--scale-length", words.scale_length_mm,
                     "The log's length by tape in mm; settles the scale");
  command.add_option(
      "--scale-points", words.scale_points,
      "Two points of the file and their true distance in mm, X1,Y1,Z1:X2,Y2,Z2=MM; settles the "
      "scale without --scale-length");
  command.add_option(
      "--near", words.near,
      "A point on the log that is meant, as X,Y,Z in the file's coordinates, when several would do");
}

void add_kind_options(CLI::App& command, ScanWords& words) {
  command.add_option("--bark", words.bark_mm, "Bark thickness in mm, measured at the ends");
  command.add_option("--species", words.species, "Species, for bark thickness and weight, e.g. larch");
  command.add_option("--unit", words.unit,
                     "Unit of the file: m (taken where the file is silent), cm, mm, ft or in");
  command.add_option("--up", words.up, "Axis of the file that points up: z, y, x, -z, -y or -x");
  command.add_flag("--allow-unseen-ends", words.allow_unseen_ends,
                   "Take only the part that was seen when an end is missing from the scan");
}

ScanRequest scan_request_of(const ScanWords& words, const CLI::App& command) {
  ScanRequest request;
  request.files.assign(words.scans.begin(), words.scans.end());
  request.species = words.species;
  request.allow_unseen_ends = words.allow_unseen_ends;
  if (is_given(command, "--bark")) {
    require_within(kBark, words.bark_mm);
    request.bark_m = words.bark_mm / kMmAMetre;
  }
  if (is_given(command, "--scale-length")) {
    require_within(kScaleLength, words.scale_length_mm);
    request.scale_length_m = words.scale_length_mm / kMmAMetre;
  }
  if (is_given(command, "--scale-points")) {
    request.scale_points = scale_points_of(words.scale_points, "--scale-points");
  }
  if (is_given(command, "--unit")) {
    request.metres_per_unit = unit_of(words.unit, "--unit");
  }
  if (is_given(command, "--near")) {
    request.near_in_file = point_of(words.near);
  }
  if (is_given(command, "--up")) {
    request.up = up_of(words.up, "--up");
  }
  require(request.species.empty() || find_species(request.species).has_value(),
          "--species '" + request.species +
              "' is not in the table; name another one, for example larch, or leave it out and give the bark "
              "thickness with --bark");
  return request;
}

}  // namespace flitchwise
