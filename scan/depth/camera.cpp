#include "scan/depth/camera.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/fields.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

using Json = nlohmann::json;

constexpr std::string_view kAdvice =
    ": write fx, fy, cx, cy, width, height and depth_scale (depth units a metre) as JSON";

/// Everything that a camera file says, by lower-case name.
struct Figures {
  std::map<std::string, double> named;
  std::vector<double> matrix;  ///< row by row, nine figures
  bool distorted = false;
};

bool is_any(std::string_view name, std::initializer_list<std::string_view> of) {
  return std::find(of.begin(), of.end(), name) != of.end();
}

bool is_distortion(const std::string& name) {
  return is_any(name, {"k1", "k2", "k3", "k4", "k5", "k6", "p1", "p2"}) || name.find("dist") == 0;
}

void note(const std::string& name, double value, Figures& figures) {
  if (is_distortion(name)) {
    figures.distorted = figures.distorted || value != 0;
  }
  figures.named.emplace(name, value);
}

std::vector<double> numbers_in(const Json& list) {
  std::vector<double> numbers;
  for (const Json& entry : list) {
    if (entry.is_number()) {
      numbers.push_back(entry.get<double>());
    } else if (entry.is_array()) {
      const std::vector<double> inner = numbers_in(entry);
      numbers.insert(numbers.end(), inner.begin(), inner.end());
    }
  }
  return numbers;
}

/// Walks through the whole file, since the figures may lie in an object such as "intrinsics" or "depth".
void collect(const Json& node, Figures& figures, const std::string& inside) {
  constexpr std::size_t kMatrix = 9;
  for (const auto& [key, value] : node.items()) {
    const std::string name = lower_case(key);
    if (value.is_number()) {
      note(name, value.get<double>(), figures);
    } else if (value.is_object()) {
      collect(value, figures, name);
    } else if (value.is_array()) {
      const std::vector<double> list = numbers_in(value);
      if (is_distortion(name) || is_distortion(inside)) {
        figures.distorted =
            figures.distorted || std::any_of(list.begin(), list.end(), [](double v) { return v != 0; });
      } else if (list.size() == kMatrix && figures.matrix.empty()) {
        figures.matrix = list;
      }
    }
  }
}

Figures figures_of_json(const MappedFile& file) {
  Figures figures;
  const Json json = Json::parse(file.bytes(), nullptr, false, true);
  if (json.is_discarded()) {
    fail(file.path(), "is no sound JSON" + std::string(kAdvice));
  }
  if (json.is_object()) {
    for (const auto& [key, value] :
         json.items()) {  // beside a colour camera the depth camera's figures count
      if (value.is_object() && lower_case(key).find("depth") != std::string::npos) {
        collect(value, figures, "");
      }
    }
    collect(json, figures, "");
  }
  return figures;
}

bool is_name(std::string_view word) {
  return !word.empty() &&
         (std::isalpha(static_cast<unsigned char>(word.front())) != 0 || word.front() == '_');
}

std::optional<double> number_in(std::string_view word) {
  double number = 0;
  if (!take_number(word, ' ', number) || !word.empty() || !std::isfinite(number)) {
    return std::nullopt;
  }
  return number;
}

/// "fx 525", "fx: 525", "fx = 525", or bare numbers: a matrix, or fx fy cx cy [width height] [depth_scale].
Figures figures_of_text(const MappedFile& file) {
  Figures figures;
  std::vector<double> bare;
  LineCursor lines(file.bytes());
  for (std::string_view raw; lines.next(raw);) {
    std::string text(raw.substr(0, raw.find('#')));
    std::replace_if(
        text.begin(), text.end(),
        [](char c) { return std::string_view(":=,;[]").find(c) != std::string::npos; }, ' ');
    std::string_view line = text;
    std::string name;
    for (std::string_view word = take_word(line); !word.empty(); word = take_word(line)) {
      if (is_name(word)) {
        name = lower_case(word);
      } else if (const auto number = number_in(word)) {
        name.empty() ? bare.push_back(*number) : note(name, *number, figures);
        name.clear();
      } else {
        fail(file.path(), "has " + quoted(word) + " where a number should stand" + std::string(kAdvice));
      }
    }
  }
  constexpr std::array<const char*, 7> kOrder = {"fx", "fy", "cx", "cy", "width", "height", "depth_scale"};
  constexpr std::size_t kMatrix = 9;
  if (bare.size() >= kMatrix) {
    figures.matrix.assign(bare.begin(), bare.begin() + kMatrix);
  } else if (bare.size() == 5) {  // no size, but a scale
    bare.insert(bare.begin() + 4, {0, 0});
  }
  for (std::size_t i = 0; figures.matrix.empty() && i < std::min(bare.size(), kOrder.size()); ++i) {
    figures.named.emplace(kOrder.at(i), bare[i]);
  }
  return figures;
}

/// The matrix [fx 0 cx; 0 fy cy; 0 0 1], written row by row or column by column.
void use_matrix(const std::vector<double>& m, Camera& camera) {
  camera.fx = m[0];
  camera.fy = m[4];
  const bool by_columns = m[2] == 0 && m[5] == 0 && m[6] != 0;
  camera.cx = by_columns ? m[6] : m[2];
  camera.cy = by_columns ? m[7] : m[5];
}

std::optional<double> named(const Figures& figures, std::initializer_list<const char*> names) {
  for (const char* name : names) {
    const auto found = figures.named.find(name);
    if (found != figures.named.end()) {
      return found->second;
    }
  }
  return std::nullopt;
}

/// Some write metres a unit instead of units a metre: no camera has units as coarse as 0.1 m.
double units_per_metre_of(double depth_scale) {
  constexpr double kLeastUnits = 10;
  return depth_scale < kLeastUnits ? 1 / depth_scale : depth_scale;
}

Camera camera_of(const Figures& figures) {
  constexpr double kMostPixels = 1e5;
  Camera camera;
  if (!figures.matrix.empty()) {
    use_matrix(figures.matrix, camera);
  }
  camera.fx = named(figures, {"fx", "focal_x", "focal", "f"}).value_or(camera.fx);
  camera.fy = named(figures, {"fy", "focal_y"}).value_or(camera.fy > 0 ? camera.fy : camera.fx);
  camera.cx = named(figures, {"cx", "ppx", "px"}).value_or(camera.cx);
  camera.cy = named(figures, {"cy", "ppy", "py"}).value_or(camera.cy);
  const double width = named(figures, {"width", "w", "image_width"}).value_or(0);
  const double height = named(figures, {"height", "h", "image_height"}).value_or(0);
  if (width > 0 && height > 0 && width < kMostPixels && height < kMostPixels) {
    camera.width = static_cast<int>(std::lround(width));
    camera.height = static_cast<int>(std::lround(height));
  }
  const auto scale = named(figures, {"depth_scale", "depthscale", "depth_factor", "scale"});
  camera.units_per_metre = scale ? units_per_metre_of(*scale) : camera.units_per_metre;
  return camera;
}

}  // namespace

Camera read_camera(const std::filesystem::path& file) {
  const MappedFile mapped(file);
  const std::size_t first = mapped.bytes().find_first_not_of(" \t\r\n\xEF\xBB\xBF");
  const bool is_json = first != std::string_view::npos && (mapped.bytes()[first] == '{');
  const Figures figures = is_json ? figures_of_json(mapped) : figures_of_text(mapped);
  if (figures.distorted) {
    fail(file, "states a lens distortion, which is not undone here: export undistorted depth images");
  }
  const Camera camera = camera_of(figures);
  // Written so that NaN fails.
  if (!(camera.fx > 0 && camera.fy > 0 && camera.cx > 0 && camera.cy > 0 && std::isfinite(camera.fx) &&
        std::isfinite(camera.fy) && std::isfinite(camera.cx) && std::isfinite(camera.cy))) {
    fail(file, "lacks a positive fx, fy, cx or cy" + std::string(kAdvice));
  }
  constexpr double kMostUnits = 1e6;
  if (!(camera.units_per_metre > 0 && camera.units_per_metre <= kMostUnits)) {
    fail(file, "has no usable depth_scale: give the depth units a metre, 1000 for millimetres");
  }
  return camera;
}

Camera fitted_to(const Camera& camera, int width, int height, const std::filesystem::path& file) {
  constexpr double kSameShape = 0.02;  // of the ratio of the sides; sensors crop by a pixel or two
  Camera fitted = camera;
  const std::string size = std::to_string(width) + " x " + std::to_string(height);
  if (camera.width > 0 && (camera.width != width || camera.height != height)) {
    const double across = static_cast<double>(width) / camera.width;
    const double down = static_cast<double>(height) / camera.height;
    if (std::abs(across / down - 1) > kSameShape) {
      fail(file, "is for pictures of " + std::to_string(camera.width) + " x " +
                     std::to_string(camera.height) + " pixels, but the depth images have " + size +
                     ", another shape: give the figures of the depth camera");
    }
    constexpr double kHalf = 0.5;  // pixel (0, 0) reaches from -1/2 to 1/2
    fitted.fx *= across;
    fitted.fy *= down;
    fitted.cx = (camera.cx + kHalf) * across - kHalf;
    fitted.cy = (camera.cy + kHalf) * down - kHalf;
  }
  if (fitted.cx >= width || fitted.cy >= height) {
    fail(file, "has its cx, cy outside the depth images of " + size +
                   " pixels: give the figures of the depth camera, or add the width and height that they are "
                   "for");
  }
  fitted.width = width;
  fitted.height = height;
  return fitted;
}

}  // namespace flitchwise::scan
