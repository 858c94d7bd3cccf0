#include "scan/read/mesh/mesh_source.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kByteMax = 255;

double fraction(double value) {
  return value - std::floor(value);
}

/// Element k of the R2 sequence: the inverse powers of the plastic number, about 1.3247.
Eigen::Vector2d r2(std::size_t k) {
  constexpr double kFirst = 0.7548776662466927;
  constexpr double kSecond = 0.5698402909980532;
  constexpr double kStart = 0.5;
  const auto n = static_cast<double>(k);
  return {fraction(kStart + n * kFirst), fraction(kStart + n * kSecond)};
}

/// From the unit square to weights of a triangle's corners, keeping areas (Heitz 2019).
Eigen::Vector3d to_triangle(Eigen::Vector2d square) {
  if (square.y() > square.x()) {
    square.x() /= 2;
    square.y() -= square.x();
  } else {
    square.y() /= 2;
    square.x() -= square.y();
  }
  return {1 - square.x() - square.y(), square.x(), square.y()};
}

std::uint8_t product(std::uint8_t a, double b) {
  // Screen values are powers of light, so that their product is the screen value of the lights' product.
  return static_cast<std::uint8_t>(std::lround(a * b / kByteMax));
}

/// The material of ascending triangles.
class MaterialWalker {
 public:
  explicit MaterialWalker(const Mesh& mesh) : mesh_(mesh) {}
  const MeshMaterial* at(std::size_t triangle) {
    while (next_ < mesh_.runs.size() && mesh_.runs[next_].first <= triangle) {
      now_ = &mesh_.materials[mesh_.runs[next_++].material];
    }
    return now_;
  }

 private:
  const Mesh& mesh_;
  std::size_t next_ = 0;
  const MeshMaterial* now_ = nullptr;
};

}  // namespace

MeshSource::MeshSource(const std::filesystem::path& file, Mesh mesh, std::size_t samples, SourceFacts facts)
    : PointSource(std::move(facts)), mesh_(std::move(mesh)), samples_(samples) {
  check_corners(file, mesh_);
  for (std::size_t i = 0; i < mesh_.triangles.size(); ++i) {
    total_area_ += area(i);
  }
  if (!mesh_.triangles.empty() && !(total_area_ > 0)) {
    fail(file, "holds a mesh without any surface, as none of its triangles has an area: export it again");
  }
}

double MeshSource::area(std::size_t triangle) const {
  const Corners& corners = mesh_.triangles[triangle];
  const Eigen::Vector3d a = mesh_.vertices[corners[0]].cast<double>();
  const Eigen::Vector3d b = mesh_.vertices[corners[1]].cast<double>();
  const Eigen::Vector3d c = mesh_.vertices[corners[2]].cast<double>();
  return (b - a).cross(c - a).norm() / 2;
}

Colour MeshSource::picture_colour(std::size_t triangle, const MeshMaterial& material,
                                  const Eigen::Vector3d& weights) const {
  const Corners& at =
      mesh_.texture_corners.empty() ? mesh_.triangles[triangle] : mesh_.texture_corners[triangle];
  Eigen::Vector2f uv = Eigen::Vector2f::Zero();
  for (std::size_t i = 0; i < at.size(); ++i) {
    if (at.at(i) >= mesh_.texture_points.size()) {
      return kGrey;
    }
    uv += static_cast<float>(weights[static_cast<Eigen::Index>(i)]) * mesh_.texture_points[at.at(i)];
  }
  return material.picture->at(uv, material.wrap_u, material.wrap_v);
}

Colour MeshSource::colour(std::size_t triangle, const MeshMaterial* material,
                          const Eigen::Vector3d& weights) const {
  Colour colour = material == nullptr ? MeshMaterial().colour : material->colour;
  if (material != nullptr && material->picture) {
    const Colour shown = picture_colour(triangle, *material, weights);
    for (std::size_t channel = 0; channel < colour.size(); ++channel) {
      colour.at(channel) = product(colour.at(channel), shown.at(channel));
    }
  }
  if (!mesh_.vertex_colours.empty()) {
    const Corners& corners = mesh_.triangles[triangle];
    for (std::size_t channel = 0; channel < colour.size(); ++channel) {
      double own = 0;
      for (std::size_t i = 0; i < corners.size(); ++i) {
        own += weights[static_cast<Eigen::Index>(i)] * mesh_.vertex_colours[corners.at(i)].at(channel);
      }
      colour.at(channel) = product(colour.at(channel), own);
    }
  }
  return colour;
}

void MeshSource::visit(const std::function<void(const Batch&)>& visitor) const {
  constexpr double kGolden = 0.6180339887498949;  // its multiples spread evenly between 0 and 1
  Batcher batcher(visitor);
  const auto add = [&](const Eigen::Vector3d& point, const Colour& colour) {
    batcher.add(point.x(), point.y(), point.z(), colour[0], colour[1], colour[2]);
  };
  for (std::size_t i = 0; i < mesh_.lone_points.size(); ++i) {
    add(mesh_.origin + mesh_.lone_points[i].cast<double>(),
        mesh_.lone_colours.empty() ? kGrey : mesh_.lone_colours[i]);
  }
  MaterialWalker materials(mesh_);
  const bool has_colour = facts().colour_kind != ColourKind::none;
  const double piece = total_area_ / static_cast<double>(samples_);
  double passed = 0;
  std::size_t k = 0;
  // Within its piece a point's place varies, or it would beat with the pattern of a regular mesh.
  const auto place = [&] {
    return (static_cast<double>(k) + fraction(static_cast<double>(k) * kGolden)) * piece;
  };
  for (std::size_t t = 0; t < mesh_.triangles.size() && k < samples_; ++t) {
    const MeshMaterial* const material = materials.at(t);
    const Corners& corners = mesh_.triangles[t];
    passed += area(t);
    for (; k < samples_ && place() < passed; ++k) {
      const Eigen::Vector3d weights = to_triangle(r2(k));
      Eigen::Vector3d point = mesh_.origin;
      for (std::size_t i = 0; i < corners.size(); ++i) {
        point += weights[static_cast<Eigen::Index>(i)] * mesh_.vertices[corners.at(i)].cast<double>();
      }
      add(point, has_colour ? colour(t, material, weights) : kGrey);
    }
  }
  batcher.finish();
}

std::size_t sample_count(std::size_t triangles, std::size_t most) {
  // 30 square metres of log and ground then have a point every 4 mm, a log alone every 2 mm.
  constexpr std::size_t kUsual = 2'000'000;
  // Finer meshes: enough that hardly a triangle of average size stays empty.
  constexpr std::size_t kPerTriangle = 4;
  return std::min(most, std::max(kUsual, kPerTriangle * triangles));
}

std::unique_ptr<PointSource> sampled(const std::filesystem::path& file, Mesh mesh, std::size_t most_points,
                                     SourceFacts facts) {
  const std::size_t triangles = mesh.triangles.size();
  facts.format.triangles = triangles;
  facts.colour_kind = mesh.has_colour() ? ColourKind::bytes : ColourKind::none;
  const std::size_t samples = sample_count(triangles, most_points);
  return std::make_unique<MeshSource>(file, std::move(mesh), samples, std::move(facts));
}

}  // namespace flitchwise::scan
