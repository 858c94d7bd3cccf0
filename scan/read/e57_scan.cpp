#include "scan/read/e57_scan.hpp"

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <limits>
#include <pugixml.hpp>
#include <string_view>
#include <system_error>
#include <type_traits>

#include "scan/model/numbers.hpp"
#include "scan/read/cursor.hpp"

namespace flitchwise::scan {
namespace {

/// Reads the description of one scan.
class ScanReader {
 public:
  ScanReader(const E57Pages& pages, const pugi::xml_node& node) : pages_(pages), node_(node) {}
  E57Scan read();

 private:
  template <typename T>
  T number(std::string_view text, T otherwise) const;
  template <typename T>
  T attribute(const pugi::xml_node& node, const char* name, T otherwise) const {
    return number<T>(node.attribute(name).value(), otherwise);
  }
  double child(const pugi::xml_node& node, const char* name, double otherwise = 0) const {
    return number<double>(node.child(name).child_value(), otherwise);
  }
  E57Field field(const pugi::xml_node& node) const;
  E57Field integer_field(const pugi::xml_node& node, E57Field field) const;
  void read_fields(const pugi::xml_node& structure, int depth);
  std::optional<std::size_t> find(std::string_view name) const;
  std::optional<E57Scan::Three> find(const std::array<std::string_view, 3>& names) const;
  void find_roles();
  E57Range colour_range(std::size_t channel) const;
  void read_pose();

  const E57Pages& pages_;
  pugi::xml_node node_;
  E57Scan scan_;
  std::vector<pugi::xml_node> nodes_;  // of the fields
};

// An element or attribute without text has its default.
template <typename T>
T ScanReader::number(std::string_view text, T otherwise) const {
  text = trimmed(text);
  if (text.empty()) {
    return otherwise;
  }
  if (text.front() == '+') {
    text.remove_prefix(1);
  }
  T value = 0;
  const char* const end = text.data() + text.size();
  const char* stop = nullptr;
  if constexpr (std::is_floating_point_v<T>) {
    stop = read_double(text.data(), end, value);
  } else if (const auto [rest, error] = std::from_chars(text.data(), end, value); error == std::errc()) {
    stop = rest;
  }
  if (stop != end) {
    pages_.fail_broken(quoted(text) + " is no usable number");
  }
  return value;
}

E57Field ScanReader::field(const pugi::xml_node& node) const {
  constexpr unsigned kSingle = 32;
  constexpr unsigned kDouble = 64;
  const std::string_view type = node.attribute("type").value();
  E57Field field;
  if (type == "Float") {
    field.bits = std::string_view(node.attribute("precision").value()) == "single" ? kSingle : kDouble;
  } else if (type == "Integer") {
    field = integer_field(node, field);
  } else if (type == "ScaledInteger") {
    field = integer_field(node, field);
    field.scale = attribute<double>(node, "scale", 1);
    field.offset = attribute<double>(node, "offset", 0);
  } else if (type == "String") {
    field.kind = E57Field::Kind::text;
  } else {
    pages_.fail_broken("a field of type " + quoted(type));
  }
  return field;
}

E57Field ScanReader::integer_field(const pugi::xml_node& node, E57Field field) const {
  using Limits = std::numeric_limits<std::int64_t>;
  field.kind = E57Field::Kind::integer;
  field.minimum = attribute<std::int64_t>(node, "minimum", Limits::min());
  const auto maximum = attribute<std::int64_t>(node, "maximum", Limits::max());
  if (maximum < field.minimum) {
    pages_.fail_broken("a field whose smallest value exceeds its largest");
  }
  field.bits = static_cast<unsigned>(
      std::bit_width(static_cast<std::uint64_t>(maximum) - static_cast<std::uint64_t>(field.minimum)));
  return field;
}

// Byte streams come in the order of the fields, whatever structures these stand in.
void ScanReader::read_fields(const pugi::xml_node& structure, int depth) {
  constexpr int kDeepest = 8;  // the standard's own fields have depth 1
  if (depth > kDeepest) {
    pages_.fail_broken("structures nested too deeply");
  }
  for (const pugi::xml_node& node : structure.children()) {
    const std::string_view type = node.attribute("type").value();
    if (node.type() != pugi::node_element) {
      continue;
    }
    if (type == "Structure" || type == "Vector") {
      read_fields(node, depth + 1);
    } else {
      scan_.fields.push_back(field(node));
      nodes_.push_back(node);
    }
  }
}

std::optional<std::size_t> ScanReader::find(std::string_view name) const {
  const auto at = std::find_if(nodes_.begin(), nodes_.end(),
                               [&](const pugi::xml_node& node) { return name == node.name(); });
  const auto index = static_cast<std::size_t>(at - nodes_.begin());
  const bool usable = at != nodes_.end() && scan_.fields[index].kind != E57Field::Kind::text;
  return usable ? std::optional(index) : std::nullopt;
}

std::optional<E57Scan::Three> ScanReader::find(const std::array<std::string_view, 3>& names) const {
  E57Scan::Three found = {};
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::optional<std::size_t> index = find(names[i]);
    if (!index) {
      return std::nullopt;
    }
    found[i] = *index;
  }
  return found;
}

void ScanReader::find_roles() {
  if (const auto cartesian = find({"cartesianX", "cartesianY", "cartesianZ"})) {
    scan_.position = *cartesian;
    scan_.invalid = find("cartesianInvalidState");
  } else if (const auto spherical = find({"sphericalRange", "sphericalAzimuth", "sphericalElevation"})) {
    scan_.position = *spherical;
    scan_.spherical = true;
    scan_.invalid = find("sphericalInvalidState");
  } else {
    pages_.fail_broken("its points have neither Cartesian nor spherical coordinates");
  }
  scan_.colour = find({"colorRed", "colorGreen", "colorBlue"});
  for (std::size_t i = 0; scan_.colour && i < scan_.colour_range.size(); ++i) {
    scan_.colour_range[i] = colour_range(i);
  }
}

/// From the scan's colour limits; without usable ones from what the field can hold.
E57Range ScanReader::colour_range(std::size_t channel) const {
  constexpr std::array<const char*, 3> kLow = {"colorRedMinimum", "colorGreenMinimum", "colorBlueMinimum"};
  constexpr std::array<const char*, 3> kHigh = {"colorRedMaximum", "colorGreenMaximum", "colorBlueMaximum"};
  const pugi::xml_node limits = node_.child("colorLimits");
  const E57Range said = {child(limits, kLow[channel]), child(limits, kHigh[channel])};
  if (said.high > said.low && std::isfinite(said.high - said.low)) {
    return said;
  }
  const std::size_t index = scan_.colour.value()[channel];
  const pugi::xml_node& node = nodes_[index];
  const E57Field& field = scan_.fields[index];
  if (field.kind == E57Field::Kind::floating) {
    return {0, 1};
  }
  constexpr double kByteMax = 255;
  const auto maximum = static_cast<double>(attribute<std::int64_t>(node, "maximum", 0));
  return {0, maximum > 0 ? maximum * field.scale + field.offset : kByteMax};
}

void ScanReader::read_pose() {
  constexpr double kLeastNorm = 1e-6;  // far below any rounding of a unit quaternion
  const pugi::xml_node rotation = node_.child("pose").child("rotation");
  const pugi::xml_node translation = node_.child("pose").child("translation");
  if (rotation) {
    scan_.rotation = Eigen::Quaterniond(child(rotation, "w"), child(rotation, "x"), child(rotation, "y"),
                                        child(rotation, "z"));
    const double norm = scan_.rotation.norm();
    if (!std::isfinite(norm) || norm < kLeastNorm) {
      pages_.fail_broken("a scan's rotation is no rotation");
    }
    scan_.rotation.normalize();
  }
  scan_.translation = {child(translation, "x"), child(translation, "y"), child(translation, "z")};
}

E57Scan ScanReader::read() {
  const pugi::xml_node points = node_.child("points");
  for (const pugi::xml_node& codec : points.child("codecs").children()) {
    if (codec.type() == pugi::node_element && !codec.child("bitPackCodec")) {
      pages_.fail_broken("its points are packed in an unknown way");
    }
  }
  scan_.records = attribute<std::uint64_t>(points, "recordCount", 0);
  scan_.section = attribute<std::uint64_t>(points, "fileOffset", 0);
  if (scan_.records > 0) {
    read_fields(points.child("prototype"), 1);
    find_roles();
    read_pose();
  }
  return std::move(scan_);
}

}  // namespace

std::vector<E57Scan> parse_e57_scans(const E57Pages& pages, const std::string& xml) {
  pugi::xml_document document;
  const pugi::xml_parse_result parsed = document.load_buffer(xml.data(), xml.size());
  const pugi::xml_node root = document.child("e57Root");
  if (!parsed || !root) {
    pages.fail_broken("its description is no readable XML");
  }
  std::vector<E57Scan> scans;
  for (const pugi::xml_node& node : root.child("data3D").children()) {
    if (!node.child("points")) {
      continue;
    }
    E57Scan scan = ScanReader(pages, node).read();
    if (scan.records > 0) {
      scans.push_back(std::move(scan));
    }
  }
  return scans;
}

}  // namespace flitchwise::scan
