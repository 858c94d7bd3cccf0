/// Meshes in STL, OBJ and PLY, from bytes made here.

#include <catch2/catch.hpp>
#include <future>
#include <limits>

#include "tests/scan/made_meshes.hpp"

using namespace flitchwise;
using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

// The flat faces of the tube lie inside the round one by the sagitta, 0.2 m (1 - cos(180 deg / 96)) = 0.107
// mm; a little more for six digits of text.
constexpr double kSagitta = 0.00011;

void check_tube(const std::string& bytes, FileFormat format) {
  const Tube tube;
  const ReadResult result = read_bytes(bytes, few_samples());
  format.triangles = 5952;
  CHECK(result.format == format);
  CHECK(result.cloud.size() == few_samples().max_points);
  CHECK(result.grid == 0);
  CHECK(largest_distance(result.cloud, tube) < kSagitta);
  CHECK(unevenness(result.cloud, tube) < 0.5);
  CHECK(!result.frame.up.has_value());
  CHECK(!result.frame.metres_per_unit.has_value());
}

/// Replaces the first `from`.
std::string with(std::string text, std::string_view from, std::string_view to) {
  return text.replace(text.find(from), from.size(), to);
}

}  // namespace

TEST_CASE("a mesh is sampled on its surface and evenly, in every format", "[mesh]") {
  const MadeMesh mesh = Tube().mesh();
  using Kind = FileFormat::Kind;
  using Coding = FileFormat::Coding;
  check_tube(obj_of(mesh), {Kind::obj});
  check_tube(ascii_stl_of(mesh), {Kind::stl, Coding::ascii});
  check_tube(binary_stl_of(mesh), {Kind::stl, Coding::binary});
  check_tube(binary_stl_of(mesh, "solid larch"), {Kind::stl, Coding::binary});
  check_tube(ply_mesh_of(mesh, "ascii"), {Kind::ply, Coding::ascii});
  check_tube(ply_mesh_of(mesh, "binary_little_endian"), {Kind::ply, Coding::little_endian});
  check_tube(ply_mesh_of(mesh, "binary_big_endian"), {Kind::ply, Coding::big_endian});
}

TEST_CASE("the samples show area, not corners", "[mesh]") {
  // One half of the square has two triangles, the other some hundred, and there are triangles without area.
  MadeMesh mesh{{{0, 0, 0}, {0.5, 0, 0}, {0.5, 1, 0}, {0, 1, 0}},
                {{0, 1, 2}, {0, 2, 3}, {0, 0, 1}, {0, 1, 1}}};
  for (std::uint32_t i = 0; i < 50; ++i) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (const double y : {i * 0.02, (i + 1) * 0.02}) {
      mesh.vertices.emplace_back(0.5, y, 0);
      mesh.vertices.emplace_back(1, y, 0);
    }
    mesh.faces.push_back({first, first + 1, first + 3, first + 2});
  }
  const Cloud cloud = read_bytes(obj_of(mesh), few_samples()).cloud;
  std::array<std::array<int, 10>, 10> counts{};
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    const Eigen::Vector3d p = cloud.at(i);
    ++counts.at(std::min<std::size_t>(9, static_cast<std::size_t>(p.x() * 10)))
          .at(std::min<std::size_t>(9, static_cast<std::size_t>(p.y() * 10)));
  }
  for (const auto& column : counts) {
    for (const int count : column) {
      CHECK(std::abs(count - 400) < 20);  // points thrown at random scatter by 20, and by 60 somewhere
    }
  }
}

TEST_CASE("a mesh gives the same points whatever else the machine does", "[mesh]") {
  const std::string bytes = binary_stl_of(Tube().mesh());
  const TemporaryFile file(bytes);
  const Cloud alone = read(file.path(), few_samples()).cloud;
  std::vector<std::future<Cloud>> others;
  for (int i = 0; i < 3; ++i) {
    others.push_back(std::async(std::launch::async, [&] { return read(file.path(), few_samples()).cloud; }));
  }
  for (auto& other : others) {
    CHECK(other.get().points == alone.points);
  }
}

TEST_CASE("a mesh far from the origin keeps its millimetres", "[mesh]") {
  MadeMesh mesh = Tube().mesh();
  const Eigen::Vector3d far(512'345, 5'412'345, 800);
  for (Eigen::Vector3d& v : mesh.vertices) {
    v += far;
  }
  Cloud cloud = read_bytes(obj_of(mesh), few_samples()).cloud;
  cloud.origin -= far;
  CHECK(largest_distance(cloud, Tube()) < kSagitta);
}

TEST_CASE("OBJ faces count from either end, with texture points, normals and continued lines", "[mesh]") {
  const std::string head =
      "\xEF\xBB\xBFmtllib\r\no square\r\nv 0 0 0\r\nv 1 0 0 1.0\r\nv 1 1 0\r\nv 0 1 0\r\nvt 0 0\r\nvn 0 0 "
      "1\r\n";
  const std::string faces =
      GENERATE(as<std::string>(), "f 1 2 3 4\r\n", "f -4 -3 -2 -1\r\n", "f 1/1 2/1 3/1 4/1\r\n",
               "f 1//1 2//1 3//1 4//1\r\n", "f 1/1/1 2/1/1 3/1/1 4/1/1 # last", "f 1 2 \\\r\n 3 4\r\n",
               "s off\r\ng bark\r\nf 1 2 3\r\nf 1 3 4");
  const Cloud cloud = read_bytes(head + faces, few_samples()).cloud;
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    const Eigen::Vector3d p = cloud.at(i);
    REQUIRE((p.x() >= 0 && p.x() <= 1 && p.y() >= 0 && p.y() <= 1 && p.z() == 0));
    mean += p / static_cast<double>(cloud.size());
  }
  CHECK((mean - Eigen::Vector3d(0.5, 0.5, 0)).norm() < 0.002);
}

TEST_CASE("OBJ faces may stand before their vertices, and texture points may be missing", "[mesh]") {
  const std::string vertices = "v 0 0 0\nv 1 0 0\nv 1 1 0\n";
  const Cloud cloud = read_bytes("f 1 2 3\n" + vertices + "vt 0 0\nf 1/1 2/1 3/9\n", few_samples()).cloud;
  CHECK(cloud.size() == few_samples().max_points);
  CHECK(cloud.colours.empty());
}

TEST_CASE("an OBJ or PLY without faces is a point cloud", "[mesh]") {
  std::string obj = "# a phone\no scan\n";
  for (std::size_t i = 0; i < 500; ++i) {
    const Point p = sample_point(i);
    obj += "v " + fixed(p.x) + ' ' + fixed(p.y) + ' ' + fixed(p.z);
    for (const std::uint8_t value : p.colour) {
      obj += ' ' + fixed(value / 255.0);
    }
    obj += '\n';
  }
  const ReadResult result = read_bytes(obj);
  CHECK(result.format == FileFormat{FileFormat::Kind::obj});
  CHECK(difference(result.cloud, 500, true).empty());
  CHECK(read_bytes(ply_mesh_of({Tube().mesh().vertices, {}}, "ascii")).cloud.size() == 31U * 96U + 2);
}

TEST_CASE("colours of vertices are blended over the faces", "[mesh]") {
  // Dark at x = 0, light at x = 1, whatever the way in which the format writes it.
  const MadeMesh mesh = square();
  const std::vector<Colour> colours = {{0, 50, 255}, {255, 50, 0}, {255, 50, 0}, {0, 50, 255}};
  const auto coloured_obj = [&](double factor) {
    std::string obj;
    for (std::size_t i = 0; i < 4; ++i) {
      obj += "v " + fixed(mesh.vertices[i].x()) + ' ' + fixed(mesh.vertices[i].y()) + " 0";
      for (const std::uint8_t value : colours[i]) {
        obj += ' ' + fixed(value * factor);
      }
      obj += '\n';
    }
    return obj + "f 1 2 3 4\n";
  };
  for (const std::string& bytes :
       {ply_mesh_of(mesh, "ascii", colours), ply_mesh_of(mesh, "binary_big_endian", colours), coloured_obj(1),
        coloured_obj(1.0 / 255)}) {
    const Cloud cloud = read_bytes(bytes, few_samples()).cloud;
    REQUIRE(cloud.colours.size() == cloud.size());
    for (std::size_t i = 0; i < cloud.size(); ++i) {
      const double red = 255 * cloud.at(i).x();
      REQUIRE(std::abs(cloud.colours[i][0] - red) <= 1);
      REQUIRE(cloud.colours[i][1] == 50);
      REQUIRE(std::abs(cloud.colours[i][2] - (255 - red)) <= 1);
    }
  }
}

TEST_CASE("broken meshes are refused with one sentence", "[mesh]") {
  const MadeMesh mesh = Tube().mesh();
  const std::string stl = binary_stl_of(mesh);
  CHECK_THAT(failure_of(stl.substr(0, stl.size() / 2)),
             Contains("of the 5,952 triangles") && Contains("copy it again."));
  const std::string nan = bytes_of(std::numeric_limits<float>::quiet_NaN(), std::endian::little);
  CHECK_THAT(failure_of(std::string(stl).replace(84 + 12 + 5 * 50, 4, nan)),
             Contains("no finite coordinates"));

  const std::string text = ascii_stl_of(mesh);
  CHECK_THAT(failure_of(text.substr(0, text.size() / 2)), Contains("cut short") || Contains("broken STL"));
  CHECK_THAT(failure_of(with(text, "endsolid larch log\n", "")), Contains("cut short"));
  CHECK_THAT(failure_of(with(text, "vertex 0", "vertex zero")), Contains("is a broken STL mesh, line 4"));
  CHECK_THAT(failure_of("solid empty\nendsolid empty\n"), Contains("without triangles"));

  const std::string square = "v 0 0 0\nv 1 0 0\nv 1 1 0\n";
  CHECK_THAT(failure_of(square + "f 1 2 4\n"), Contains("line 4") && Contains("vertex \"4\""));
  CHECK_THAT(failure_of("f 1 2 4\n" + square), Contains("line 1") && Contains("vertex \"4\""));
  CHECK_THAT(failure_of(square + "f 1 2 -4\n"), Contains("does not have"));
  CHECK_THAT(failure_of(square + "f 1 2 0\n"), Contains("does not have"));
  CHECK_THAT(failure_of(square + "f 1 2\n"), Contains("three corners"));
  CHECK_THAT(failure_of(square + "f 1 2 three\n"), Contains("no corner"));
  CHECK_THAT(failure_of(square + "f 1 2 99999999999999999999\n"), Contains("no corner"));
  CHECK_THAT(failure_of(square + "v 1 one\nf 1 2 3\n"), Contains("three numbers"));
  CHECK_THAT(failure_of(square + "v nan 0 0\nf 1 2 4\n"), Contains("no finite coordinates"));
  CHECK_THAT(failure_of(square + "f 1 1 2\n"), Contains("without any surface"));

  for (const std::string encoding : {"ascii", "binary_little_endian", "binary_big_endian"}) {
    const std::string ply = ply_mesh_of(mesh, encoding);
    CHECK_THAT(failure_of(ply.substr(0, ply.size() - 30)),
               Contains("of the 3,072 faces its header promises"));
    MadeMesh bad = mesh;
    bad.faces.back()[1] = 2978;  // one too far
    CHECK_THAT(failure_of(ply_mesh_of(bad, encoding)), Contains("names vertex 2978 of 2,978"));
    bad.faces.back()[1] = 0xFFFFFFFF;
    CHECK_THAT(failure_of(ply_mesh_of(bad, encoding)), Contains("is damaged"));
  }
  CHECK_THAT(failure_of("; FBX 7.4.0 project file\n"), Contains("Blender (free)"));
}
