#include "scan/read/mesh/stl.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string_view>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/mesh.hpp"
#include "scan/read/mesh/mesh_source.hpp"
#include "scan/read/records.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

// Binary: 80 bytes of anything, a count, then for every triangle a normal, three corners and two spare bytes.
constexpr std::size_t kHeader = 80;
constexpr std::size_t kStart = kHeader + sizeof(std::uint32_t);
constexpr std::size_t kNumber = sizeof(float);
constexpr std::size_t kNormal = 3 * kNumber;
constexpr std::size_t kTriangle = 50;
constexpr std::size_t kFarEnough = 4096;  // to see what a file is

float number_at(std::string_view bytes, std::size_t at) {
  return static_cast<float>(load(bytes.data() + at, Scalar::f32, false));
}

std::uint64_t promised_triangles(std::string_view bytes) {
  return static_cast<std::uint64_t>(load(bytes.data() + kHeader, Scalar::u32, false));
}

/// Does the first triangle look like one? Its normal has length one, or zero where the writer left it out.
bool starts_with_a_triangle(std::string_view bytes) {
  constexpr float kRounding = 0.01F;
  std::array<float, 12> numbers{};
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    numbers.at(i) = number_at(bytes, kStart + i * kNumber);
    const bool is_tiny = numbers.at(i) != 0 && std::abs(numbers.at(i)) < std::numeric_limits<float>::min();
    if (!std::isfinite(numbers.at(i)) || is_tiny) {
      return false;
    }
  }
  const float length = std::hypot(numbers[0], numbers[1], numbers[2]);
  const bool has_corners = std::any_of(numbers.begin() + 3, numbers.end(), [](float n) { return n != 0; });
  return has_corners && (length == 0 || std::abs(length - 1) < kRounding);
}

bool is_binary_stl(std::string_view bytes) {
  if (bytes.size() < kStart + kTriangle) {
    return false;
  }
  const std::uint64_t triangles = promised_triangles(bytes);
  // By its size alone, or cut short or with something behind, if it is plainly no text.
  return kStart + triangles * kTriangle == bytes.size() ||
         (triangles > 0 && bytes.substr(kHeader, kFarEnough).find('\0') != std::string_view::npos &&
          starts_with_a_triangle(bytes));
}

bool is_ascii_stl(std::string_view bytes) {
  LineCursor lines(without_byte_order_mark(bytes).substr(0, kFarEnough));
  std::string_view line;
  while (lines.next(line)) {
    const std::string_view word = take_word(line);
    if (!word.empty()) {
      return word == "solid";
    }
  }
  return false;
}

Mesh read_binary(const MappedFile& file) {
  const std::string_view bytes = file.bytes();
  const std::uint64_t triangles = promised_triangles(bytes);
  const std::uint64_t held = (bytes.size() - kStart) / kTriangle;
  if (held < triangles) {
    fail(file.path(), "holds " + grouped(held) + " of the " + grouped(triangles) +
                          " triangles its header promises: the copy was cut short; copy it again");
  }
  check_mesh_size(file.path(), 3 * triangles);
  Mesh mesh;
  mesh.vertices.reserve(3 * triangles);
  mesh.triangles.reserve(triangles);
  VertexPlacer placer(mesh);
  PageReleaser pages(file);
  for (std::uint64_t t = 0; t < triangles; ++t) {
    std::size_t at = kStart + t * kTriangle + kNormal;
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (int corner = 0; corner < 3; ++corner, at += 3 * kNumber) {
      placer.add_vertex(number_at(bytes, at), number_at(bytes, at + kNumber),
                        number_at(bytes, at + 2 * kNumber));
    }
    mesh.triangles.push_back({first, first + 1, first + 2});
    pages.passed(bytes.data() + at);
  }
  return mesh;
}

/// Reads the words of an ASCII file: vertex lines between "outer loop" and "endloop".
class AsciiReader {
 public:
  explicit AsciiReader(const MappedFile& file) : file_(file), placer_(mesh_) {}
  Mesh read() {
    LineCursor lines(file_.bytes());
    PageReleaser pages(file_);
    std::string_view line;
    while (lines.next(line)) {
      const char* const start = line.data();
      if (!take(line)) {
        fail(file_.path(), "is a broken STL mesh, line " + std::to_string(line_number(file_.bytes(), start)) +
                               ": export it again");
      }
      pages.passed(lines.position());
    }
    if (inside_facet_ || !ended_) {
      fail(file_.path(), "ends before its STL mesh does: the copy was cut short; copy it again");
    }
    return std::move(mesh_);
  }

 private:
  bool take(std::string_view line) {
    const std::string_view word = take_word(line);
    if (word == "facet") {
      inside_facet_ = true;
      corners_ = 0;
    } else if (word == "vertex") {
      return inside_facet_ && take_vertex(line);
    } else if (word == "endfacet") {
      inside_facet_ = false;
      return finish_facet();
    } else if (word == "endsolid") {
      ended_ = true;
    }
    return true;
  }

  bool take_vertex(std::string_view line) {
    constexpr std::size_t kMostCorners = 1000;  // some writers have more than three; none has this many
    std::array<double, 3> at{};
    for (double& coordinate : at) {
      if (!take_number(line, ' ', coordinate)) {
        return false;
      }
    }
    placer_.add_vertex(at[0], at[1], at[2]);
    return ++corners_ <= kMostCorners;
  }

  bool finish_facet() {
    check_mesh_size(file_.path(), mesh_.vertices.size());
    const auto first = static_cast<std::uint32_t>(mesh_.vertices.size() - corners_);
    for (std::uint32_t i = 2; i < corners_; ++i) {
      mesh_.triangles.push_back({first, first + i - 1, first + i});
    }
    return corners_ >= 3;
  }

  const MappedFile& file_;
  Mesh mesh_;
  VertexPlacer placer_;
  bool inside_facet_ = false;
  bool ended_ = false;
  std::size_t corners_ = 0;
};

}  // namespace

bool looks_like_stl(const MappedFile& file) {
  return is_binary_stl(file.bytes()) || is_ascii_stl(file.bytes());
}

std::unique_ptr<PointSource> open_stl(const MappedFile& file, std::size_t most_points) {
  const bool binary = is_binary_stl(file.bytes());
  Mesh mesh = binary ? read_binary(file) : AsciiReader(file).read();
  if (mesh.triangles.empty()) {
    fail(file.path(), "is an STL mesh without triangles: export the scan again");
  }
  return sampled(file.path(), std::move(mesh), most_points,
                 {{FileFormat::Kind::stl, binary ? FileFormat::Coding::binary : FileFormat::Coding::ascii}});
}

}  // namespace flitchwise::scan
