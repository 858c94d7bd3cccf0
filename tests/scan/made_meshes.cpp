#include "tests/scan/made_meshes.hpp"

#include <stb/stb_image_write.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::scan::test {
namespace {

std::string little_float(double value) {
  return bytes_of(static_cast<float>(value), std::endian::little);
}

std::string base64(std::string_view bytes) {
  constexpr std::string_view kAlphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    unsigned group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = (group << 8U) | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    }
    for (unsigned k = 0; k < 4; ++k) {
      text += i + k > bytes.size() ? '=' : kAlphabet[(group >> (18 - 6 * k)) & 63U];
    }
  }
  return text;
}

std::string padded(std::string text, char with) {
  text.resize((text.size() + 3) / 4 * 4, with);
  return text;
}

}  // namespace

MadeMesh Tube::mesh() const {
  MadeMesh made;
  for (std::uint32_t i = 0; i <= along; ++i) {
    for (std::uint32_t k = 0; k < around; ++k) {
      const double angle = 2 * std::numbers::pi * k / around;
      made.vertices.emplace_back(length * i / along, radius * std::cos(angle),
                                 radius + radius * std::sin(angle));
    }
  }
  for (std::uint32_t i = 0; i < along; ++i) {
    for (std::uint32_t k = 0; k < around; ++k) {
      const std::uint32_t next = (k + 1) % around;
      made.faces.push_back(
          {i * around + k, i * around + next, (i + 1) * around + next, (i + 1) * around + k});
    }
  }
  for (const double x : {0.0, length}) {
    const auto middle = static_cast<std::uint32_t>(made.vertices.size());
    const std::uint32_t ring = x > 0 ? along * around : 0;
    made.vertices.emplace_back(x, 0, radius);
    for (std::uint32_t k = 0; k < around; ++k) {
      made.faces.push_back({middle, ring + k, ring + (k + 1) % around});
    }
  }
  return made;
}

double Tube::surface() const {
  return 2 * std::numbers::pi * radius * (length + radius);
}

double Tube::distance(const Eigen::Vector3d& point) const {
  const double out = std::hypot(point.y(), point.z() - radius);
  const double barrel = std::abs(out - radius) + std::max({0.0, -point.x(), point.x() - length});
  const double end =
      std::min(std::abs(point.x()), std::abs(point.x() - length)) + std::max(0.0, out - radius);
  return std::min(barrel, end);
}

MadeMesh square() {
  return {{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, {{0, 1, 2}, {0, 2, 3}}};
}

MadeMesh triangulated(const MadeMesh& mesh) {
  MadeMesh made{mesh.vertices, {}};
  for (const auto& face : mesh.faces) {
    for (std::size_t i = 2; i < face.size(); ++i) {
      made.faces.push_back({face[0], face[i - 1], face[i]});
    }
  }
  return made;
}

std::string obj_of(const MadeMesh& mesh, std::string_view line_end) {
  std::string text = "# larch" + std::string(line_end);
  for (const auto& v : mesh.vertices) {
    text += "v " + fixed(v.x()) + ' ' + fixed(v.y()) + ' ' + fixed(v.z());
    text += line_end;
  }
  for (const auto& face : mesh.faces) {
    text += 'f';
    for (const std::uint32_t corner : face) {
      text += ' ' + std::to_string(corner + 1);
    }
    text += line_end;
  }
  return text;
}

std::string ascii_stl_of(const MadeMesh& mesh) {
  std::string text = "solid larch log\n";
  for (const auto& face : triangulated(mesh).faces) {
    text += "  facet normal 0 0 0\n    outer loop\n";
    for (const std::uint32_t corner : face) {
      const Eigen::Vector3d& v = mesh.vertices[corner];
      text += "      vertex " + fixed(v.x()) + ' ' + fixed(v.y()) + ' ' + fixed(v.z()) + '\n';
    }
    text += "    endloop\n  endfacet\n";
  }
  return text + "endsolid larch log\n";
}

std::string binary_stl_of(const MadeMesh& mesh, std::string_view header) {
  std::string bytes(header);
  bytes.resize(80, ' ');
  const MadeMesh triangles = triangulated(mesh);
  bytes += bytes_of(static_cast<std::uint32_t>(triangles.faces.size()), std::endian::little);
  for (const auto& face : triangles.faces) {
    bytes += little_float(0) + little_float(0) + little_float(1);
    for (const std::uint32_t corner : face) {
      const Eigen::Vector3d& v = mesh.vertices[corner];
      bytes += little_float(v.x()) + little_float(v.y()) + little_float(v.z());
    }
    bytes += std::string(2, '\0');
  }
  return bytes;
}

std::string ply_mesh_of(const MadeMesh& mesh, const std::string& encoding,
                        const std::vector<Colour>& colours) {
  std::string bytes = "ply\nformat " + encoding + " 1.0\nelement vertex " +
                      std::to_string(mesh.vertices.size()) +
                      "\nproperty float x\nproperty float y\nproperty float z\n";
  if (!colours.empty()) {
    bytes += "property uchar red\nproperty uchar green\nproperty uchar blue\n";
  }
  bytes += "element face " + std::to_string(mesh.faces.size()) +
           "\nproperty uchar flags\nproperty list uchar int vertex_indices\nend_header\n";
  const bool ascii = encoding == "ascii";
  const std::endian order = encoding == "binary_big_endian" ? std::endian::big : std::endian::little;
  for (std::size_t i = 0; i < mesh.vertices.size(); ++i) {
    for (const double value : mesh.vertices[i]) {
      bytes += ascii ? fixed(value) + ' ' : bytes_of(static_cast<float>(value), order);
    }
    for (std::size_t channel = 0; channel < 3 && !colours.empty(); ++channel) {
      bytes += ascii ? std::to_string(colours[i].at(channel)) + ' '
                     : std::string(1, static_cast<char>(colours[i].at(channel)));
    }
    bytes += ascii ? "\n" : "";
  }
  for (const auto& face : mesh.faces) {
    bytes += ascii ? "7 " + std::to_string(face.size()) : std::string("\7") + static_cast<char>(face.size());
    for (const std::uint32_t corner : face) {
      bytes += ascii ? ' ' + std::to_string(corner) : bytes_of(corner, order);
    }
    bytes += ascii ? "\n" : "";
  }
  return bytes;
}

std::string four_colours_png() {
  constexpr std::array<unsigned char, 12> kPixels = {255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255};
  std::string png;
  stbi_write_png_to_func(
      [](void* to, void* data, int size) {
        static_cast<std::string*>(to)->append(static_cast<const char*>(data), static_cast<std::size_t>(size));
      },
      &png, 2, 2, 3, kPixels.data(), 6);
  return png;
}

MadeGltf::MadeGltf() : json{{"asset", {{"version", "2.0"}}}} {}

std::size_t MadeGltf::add_view(std::string_view bytes) {
  bytes_ = padded(bytes_, '\0');
  json["bufferViews"].push_back({{"buffer", 0}, {"byteOffset", bytes_.size()}, {"byteLength", bytes.size()}});
  bytes_ += bytes;
  return json["bufferViews"].size() - 1;
}

std::size_t MadeGltf::add_floats(const std::vector<float>& numbers, const std::string& type) {
  std::string bytes;
  for (const float number : numbers) {
    bytes += bytes_of(number, std::endian::little);
  }
  const std::size_t components = type == "SCALAR" ? 1 : static_cast<std::size_t>(type.back() - '0');
  return add_accessor(add_view(bytes), numbers.size() / components, type, kFloat);
}

std::size_t MadeGltf::add_accessor(std::size_t view, std::size_t count, const std::string& type,
                                   int component_type) {
  json["accessors"].push_back(
      {{"bufferView", view}, {"count", count}, {"type", type}, {"componentType", component_type}});
  return json["accessors"].size() - 1;
}

std::size_t MadeGltf::add_mesh(const nlohmann::json& primitive) {
  nlohmann::json mesh;
  mesh["primitives"].push_back(primitive);
  json["meshes"].push_back(mesh);
  return json["meshes"].size() - 1;
}

nlohmann::json MadeGltf::triangles_of(const MadeMesh& mesh) {
  std::vector<float> positions;
  for (const auto& v : mesh.vertices) {
    for (const double value : v) {
      positions.push_back(static_cast<float>(value));
    }
  }
  std::vector<std::uint32_t> indices;
  for (const auto& face : triangulated(mesh).faces) {
    indices.insert(indices.end(), face.begin(), face.end());
  }
  return {{"attributes", {{"POSITION", add_floats(positions, "VEC3")}}},
          {"indices", add_indices(indices, kUnsignedInt)}};
}

std::string MadeGltf::with_data_uri() const {
  return with_buffer_beside("data:application/octet-stream;base64," + base64(bytes_));
}

std::string MadeGltf::with_buffer_beside(const std::string& name) const {
  nlohmann::json whole = json;
  whole["buffers"].push_back({{"byteLength", bytes_.size()}, {"uri", name}});
  return whole.dump();
}

std::string MadeGltf::glb() const {
  nlohmann::json whole = json;
  whole["buffers"].push_back({{"byteLength", bytes_.size()}});
  const std::string text = padded(whole.dump(), ' ');
  const std::string binary = padded(bytes_, '\0');
  const auto word = [](std::size_t value) {
    return bytes_of(static_cast<std::uint32_t>(value), std::endian::little);
  };
  return "glTF" + word(2) + word(28 + text.size() + binary.size()) + word(text.size()) + "JSON" + text +
         word(binary.size()) + "BIN" + '\0' + binary;
}

ReadOptions few_samples() {
  ReadOptions options;
  options.max_points = 40'000;
  return options;
}

double largest_distance(const Cloud& cloud, const Tube& tube) {
  double largest = 0;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    largest = std::max(largest, tube.distance(cloud.at(i)));
  }
  return largest;
}

double unevenness(const Cloud& cloud, const Tube& tube) {
  constexpr std::size_t kAround = 24;
  constexpr std::size_t kAlong = 40;
  std::vector<double> counts(kAround * kAlong, 0);
  double total = 0;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    const Eigen::Vector3d p = cloud.at(i);
    const bool on_end = std::hypot(p.y(), p.z() - tube.radius) < 0.99 * tube.radius;
    if (on_end) {
      continue;
    }
    const double turn = std::atan2(p.z() - tube.radius, p.y()) / (2 * std::numbers::pi) + 0.5;
    const auto a = std::min(static_cast<std::size_t>(turn * kAround), kAround - 1);
    const auto b =
        std::min(static_cast<std::size_t>(std::max(p.x(), 0.0) / tube.length * kAlong), kAlong - 1);
    counts[a * kAlong + b] += 1;
    total += 1;
  }
  const double expected = total / static_cast<double>(counts.size());
  double chi_square = 0;
  for (const double count : counts) {
    chi_square += (count - expected) * (count - expected) / expected;
  }
  return chi_square / static_cast<double>(counts.size() - 1);
}

}  // namespace flitchwise::scan::test
