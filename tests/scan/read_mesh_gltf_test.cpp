/// glTF and GLB from bytes made here.

#include <catch2/catch.hpp>
#include <numbers>

#include "tests/scan/made_meshes.hpp"

using namespace flitchwise;
using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kSagitta = 0.00011;  // as in read_mesh_test.cpp

std::string tube_model(MadeGltf& model) {
  model.json["nodes"] = {{{"mesh", model.add_mesh(model.triangles_of(Tube().mesh()))}}};
  return model.glb();
}

void check_tube(const ReadResult& result) {
  CHECK(result.cloud.size() == few_samples().max_points);
  CHECK(largest_distance(result.cloud, Tube()) < kSagitta);
  CHECK(unevenness(result.cloud, Tube()) < 0.5);
  CHECK(result.frame.up.value() == Eigen::Vector3d::UnitY());
  CHECK(result.frame.metres_per_unit.value() == 1);
  CHECK(result.frame.format == FileFormat::Kind::gltf);
}

/// Box around the cloud as its least and largest corner.
Eigen::Matrix<double, 3, 2> box_of(const Cloud& cloud) {
  Eigen::Matrix<double, 3, 2> box;
  box.col(0) = box.col(1) = cloud.at(0);
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    box.col(0) = box.col(0).cwiseMin(cloud.at(i));
    box.col(1) = box.col(1).cwiseMax(cloud.at(i));
  }
  return box;
}

/// Area-weighted mean of all samples.
Eigen::Vector3d mean_of(const Cloud& cloud) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    sum += cloud.at(i);
  }
  return sum / static_cast<double>(cloud.size());
}

Cloud read_one(MadeGltf& model, const nlohmann::json& primitive) {
  model.json["nodes"] = {{{"mesh", model.add_mesh(primitive)}}};
  return read_bytes(model.glb(), few_samples()).cloud;
}

const std::vector<float> kSquareCorners = {0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0};  // as a strip goes

void check_square(const Cloud& cloud) {
  CHECK((mean_of(cloud) - Eigen::Vector3d(0.5, 0.5, 0)).norm() < 0.002);
  const auto box = box_of(cloud);
  CHECK(box.col(0).norm() < 0.02);
  CHECK((box.col(1) - Eigen::Vector3d(1, 1, 0)).norm() < 0.02);
}

}  // namespace

TEST_CASE("a glTF model is read with its buffer inside, beside or behind it", "[mesh]") {
  MadeGltf model;
  const std::string glb = tube_model(model);
  const ReadResult binary = read_bytes(glb, few_samples());
  CHECK(binary.format == FileFormat{FileFormat::Kind::gltf, FileFormat::Coding::binary, "", 5952});
  check_tube(binary);
  const Cloud& cloud = binary.cloud;
  CHECK(cloud.colours.empty());

  const ReadResult inside = read_bytes(model.with_data_uri(), few_samples());
  CHECK(inside.format == FileFormat{FileFormat::Kind::gltf, FileFormat::Coding::plain, "", 5952});
  CHECK(inside.cloud.points == cloud.points);
  CHECK(read_bytes("\xEF\xBB\xBF \r\n" + model.with_data_uri(), few_samples()).cloud.points == cloud.points);

  const TemporaryFile buffer(model.bytes(), " 1.bin");
  const std::string name = buffer.path().filename().string();
  const std::string escaped = std::string(name).replace(name.find(' '), 1, "%20");
  CHECK(read_bytes(model.with_buffer_beside(escaped), few_samples()).cloud.points == cloud.points);
}

TEST_CASE("nodes move, turn and stretch what hangs below them", "[mesh]") {
  // Child: stretch by 2 along x, a quarter turn about z (x to y), then 5 along x; parent: 10 along z.
  MadeGltf model;
  const std::size_t mesh = model.add_mesh(model.triangles_of(square()));
  const double h = std::numbers::sqrt2 / 2;
  const bool by_matrix = GENERATE(false, true);
  nlohmann::json child = {
      {"mesh", mesh}, {"translation", {5, 0, 0}}, {"rotation", {0, 0, h, h}}, {"scale", {2, 1, 1}}};
  if (by_matrix) {
    child = {{"mesh", mesh}, {"matrix", {0, 2, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 5, 0, 0, 1}}};
  }
  model.json["nodes"] = {{{"children", {1}}, {"translation", {0, 0, 10}}}, child, {{"mesh", mesh}}};
  model.json["scenes"] = {{{"nodes", {2}}}, {{"nodes", {0}}}};
  model.json["scene"] = 1;
  const auto box = box_of(read_bytes(model.glb(), few_samples()).cloud);
  CHECK((box.col(0) - Eigen::Vector3d(4, 0, 10)).norm() < 0.03);
  CHECK((box.col(1) - Eigen::Vector3d(5, 2, 10)).norm() < 0.03);
}

TEST_CASE("several meshes and primitives share the samples by area", "[mesh]") {
  MadeGltf model;
  const std::size_t mesh = model.add_mesh(model.triangles_of(square()));
  model.json["meshes"][mesh]["primitives"].push_back(
      model.triangles_of({{{5, 0, 0}, {7, 0, 0}, {5, 2, 0}}, {{0, 1, 2}}}));
  model.json["nodes"] = {{{"mesh", mesh}}, {{"mesh", mesh}, {"translation", {0, 0, 100}}}};
  const Cloud cloud = read_bytes(model.glb(), few_samples()).cloud;  // areas 1, 2, 1, 2
  std::array<int, 4> counts{};
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    const Eigen::Vector3d p = cloud.at(i);
    ++counts.at((p.x() > 3 ? 1 : 0) + (p.z() > 50 ? 2 : 0));
  }
  const double all = static_cast<double>(cloud.size());
  CHECK_THAT(counts[0] / all, WithinAbs(1.0 / 6, 0.001));
  CHECK_THAT(counts[1] / all, WithinAbs(1.0 / 3, 0.001));
  CHECK_THAT(counts[2] / all, WithinAbs(1.0 / 6, 0.001));
  CHECK_THAT(counts[3] / all, WithinAbs(1.0 / 3, 0.001));
}

TEST_CASE("triangles come as lists, strips and fans, with indices of every size or none", "[mesh]") {
  MadeGltf model;
  nlohmann::json primitive = {{"attributes", {{"POSITION", model.add_floats(kSquareCorners, "VEC3")}}}};
  SECTION("strip without indices") {
    primitive["mode"] = 5;
  }
  SECTION("strip with byte indices") {
    primitive["mode"] = 5;
    primitive["indices"] = model.add_indices(std::vector<std::uint8_t>{1, 3, 0, 2}, kUnsignedByte);
  }
  SECTION("fan with short indices") {
    primitive["mode"] = 6;
    primitive["indices"] = model.add_indices(std::vector<std::uint16_t>{0, 1, 3, 2}, kUnsignedShort);
  }
  SECTION("list with long indices") {
    primitive["indices"] = model.add_indices(std::vector<std::uint32_t>{0, 1, 3, 0, 3, 2}, kUnsignedInt);
  }
  check_square(read_one(model, primitive));
}

TEST_CASE("positions may be strided, sparse, scaled integers", "[mesh]") {
  MadeGltf model;
  nlohmann::json primitive = {{"mode", 5}};
  SECTION("strided: other numbers between") {
    std::vector<float> wide;
    for (std::size_t i = 0; i < 4; ++i) {
      wide.insert(wide.end(), {9, 9, kSquareCorners[3 * i], kSquareCorners[3 * i + 1], 0, 9});
    }
    const std::size_t accessor = model.add_floats(wide, "VEC3");
    model.json["bufferViews"][0]["byteStride"] = 24;
    model.json["accessors"][accessor]["byteOffset"] = 8;
    model.json["accessors"][accessor]["count"] = 4;
    primitive["attributes"]["POSITION"] = accessor;
  }
  SECTION("sparse: the last two corners are put right") {
    std::vector<float> wrong = kSquareCorners;
    wrong[6] = wrong[9] = wrong[10] = 77;
    const std::size_t accessor = model.add_floats(wrong, "VEC3");
    const std::size_t values =
        model.add_view(bytes_of(0.0F, std::endian::little) + bytes_of(1.0F, std::endian::little) +
                       bytes_of(0.0F, std::endian::little) + bytes_of(1.0F, std::endian::little) +
                       bytes_of(1.0F, std::endian::little) + bytes_of(0.0F, std::endian::little));
    model.json["accessors"][accessor]["sparse"] = {
        {"count", 2},
        {"indices", {{"bufferView", model.add_view(std::string("\2\3"))}, {"componentType", kUnsignedByte}}},
        {"values", {{"bufferView", values}}}};
    primitive["attributes"]["POSITION"] = accessor;
  }
  SECTION("quantised: bytes that mean 0 to 1") {
    std::string bytes;
    for (const float value : kSquareCorners) {
      bytes += static_cast<char>(value > 0 ? 255 : 0);
    }
    const std::size_t accessor = model.add_accessor(model.add_view(bytes), 4, "VEC3", kUnsignedByte);
    model.json["accessors"][accessor]["normalized"] = true;
    primitive["attributes"]["POSITION"] = accessor;
  }
  check_square(read_one(model, primitive));
}

TEST_CASE("points of a glTF model are taken as they are", "[mesh]") {
  MadeGltf model;
  std::vector<float> positions;
  std::vector<float> colours;
  for (std::size_t i = 0; i < 200; ++i) {
    const Point p = sample_point(i);
    positions.insert(positions.end(),
                     {static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)});
    colours.insert(colours.end(), {1, 0.2158605F, 0});  // light; 0.2158605 shows as 128 by the sRGB curve
  }
  const Cloud cloud = read_one(model, {{"mode", 0},
                                       {"attributes",
                                        {{"POSITION", model.add_floats(positions, "VEC3")},
                                         {"COLOR_0", model.add_floats(colours, "VEC3")}}}});
  REQUIRE(cloud.size() == 200);
  for (std::size_t i = 0; i < 200; ++i) {
    const Point p = sample_point(i);
    CHECK((cloud.at(i) - Eigen::Vector3d(p.x, p.y, p.z)).norm() < 1e-6);
    CHECK(cloud.colours.at(i) == Colour{255, 128, 0});
  }
}

TEST_CASE("colours come from the corners and from the material", "[mesh]") {
  MadeGltf model;
  nlohmann::json primitive = {{"mode", 5},
                              {"attributes", {{"POSITION", model.add_floats(kSquareCorners, "VEC3")}}}};
  model.json["materials"] = {{{"pbrMetallicRoughness", {{"baseColorFactor", {1, 0.2158605, 0, 1}}}}}};
  primitive["material"] = 0;
  CHECK(read_one(model, primitive).colours.at(9) == Colour{255, 128, 0});
  const std::vector<float> black_to_white = {0, 0, 0, 1, 1, 1, 0, 0, 0, 1, 1, 1};
  primitive["attributes"]["COLOR_0"] = model.add_floats(black_to_white, "VEC3");
  const Cloud cloud = read_one(model, primitive);
  for (std::size_t i = 0; i < cloud.size(); i += 100) {
    CHECK(std::abs(cloud.colours.at(i)[0] - 255 * cloud.at(i).x()) <= 1);
    CHECK(std::abs(cloud.colours.at(i)[1] - 128 * cloud.at(i).x()) <= 1);
  }
}

TEST_CASE("broken and compressed glTF models are refused with one sentence", "[mesh]") {
  MadeGltf model;
  const std::string glb = tube_model(model);
  const auto changed = [&](const std::function<void(nlohmann::json&)>& change) {
    MadeGltf other = model;
    change(other.json);
    return failure_of(other.glb(), few_samples());
  };
  for (const std::size_t length : {std::size_t{5}, std::size_t{25}, glb.size() / 2, glb.size() - 1}) {
    CHECK_THAT(failure_of(glb.substr(0, length)), Contains("cut short"));
  }
  const std::string text = model.with_data_uri();
  CHECK_THAT(failure_of(text.substr(0, text.size() / 2)),
             Contains("breaks at byte") && Contains("copy it again"));
  CHECK_THAT(failure_of("{}"), Contains("no glTF model"));
  CHECK_THAT(failure_of(model.with_buffer_beside("gone.bin")), Contains("needs the file \"gone.bin\""));
  CHECK_THAT(failure_of(model.with_buffer_beside("data:;base64,AAAA")), Contains("cut short"));
  CHECK_THAT(failure_of(model.with_buffer_beside("data:;base64,A?AA")), Contains("base64"));

  CHECK_THAT(changed([](auto& json) { json["asset"]["version"] = "1.0"; }),
             Contains("version") && Contains("Blender (free)"));
  CHECK_THAT(changed([](auto& json) { json["extensionsRequired"] = {"EXT_meshopt_compression"}; }),
             Contains("EXT_meshopt_compression") && Contains("Blender (free)"));
  CHECK_THAT(changed([](auto& json) { json["nodes"][0]["children"] = {0}; }),
             Contains("below itself") || Contains("without triangles"));
  CHECK_THAT(changed([](auto& json) {
               json["nodes"][0]["children"] = {0};
               json["scenes"] = {{{"nodes", {0}}}};
             }),
             Contains("below itself"));
  CHECK_THAT(changed([](auto& json) { json["nodes"][0]["mesh"] = 4; }),
             Contains("no number 4 among its meshes"));
  CHECK_THAT(changed([](auto& json) { json["nodes"][0]["mesh"] = "log"; }),
             Contains("is damaged") || Contains("is a damaged"));
  CHECK_THAT(changed([](auto& json) { json["nodes"] = "log"; }), Contains("damaged"));
  CHECK_THAT(changed([](auto& json) { json.erase("meshes"); }), Contains("damaged"));
  CHECK_THAT(changed([](auto& json) { json.erase("nodes"); }), Contains("without triangles"));
  CHECK_THAT(changed([](auto& json) { json["accessors"][0]["count"] = 100000; }),
             Contains("leaves its buffer view"));
  CHECK_THAT(changed([](auto& json) { json["accessors"][0]["count"] = 1ULL << 60U; }),
             Contains("more than the"));
  CHECK_THAT(changed([](auto& json) { json["accessors"][0]["byteOffset"] = ~0ULL - 3; }),
             Contains("leaves its buffer view"));
  CHECK_THAT(changed([](auto& json) { json["bufferViews"][0]["byteOffset"] = ~0ULL - 3; }),
             Contains("leaves its buffer"));
  CHECK_THAT(changed([](auto& json) { json["bufferViews"][0]["byteStride"] = ~0ULL / 2; }),
             Contains("leaves its buffer view"));
  CHECK_THAT(changed([](auto& json) { json["accessors"][0]["componentType"] = 5124; }),
             Contains("component type 5124"));
  CHECK_THAT(changed([](auto& json) { json["accessors"][0]["type"] = "VEC2"; }),
             Contains("POSITION has too few numbers"));
  CHECK_THAT(changed([](auto& json) { json["nodes"][0]["translation"] = {1, 2}; }), Contains("wrong count"));
  CHECK_THAT(changed([](auto& json) {
               json["nodes"][0]["scale"] = {1e300, 1e300, 1};
             }),
             Contains("no finite coordinates"));

  MadeGltf bad;
  nlohmann::json primitive = {{"attributes", {{"POSITION", bad.add_floats(kSquareCorners, "VEC3")}}}};
  primitive["indices"] = bad.add_indices(std::vector<std::uint32_t>{0, 1, 4}, kUnsignedInt);
  bad.json["nodes"] = {{{"mesh", bad.add_mesh(primitive)}}};
  CHECK_THAT(failure_of(bad.glb()), Contains("names vertex 4 of 4"));
}

TEST_CASE("no cut or changed byte of a GLB file does any harm", "[mesh]") {
  MadeGltf model;
  model.json["nodes"] = {{{"mesh", model.add_mesh(model.triangles_of(square()))}}};
  const std::string glb = model.glb();
  std::size_t refused = 0;
  for (std::size_t i = 0; i < glb.size(); ++i) {
    for (const char change : {'\0', '9', '\xFF'}) {
      std::string bytes = glb;
      bytes[i] = change;
      ReadOptions options;
      options.max_points = 1000;
      refused += failure_of(bytes, options) == "read" ? 0 : 1;
    }
    CHECK_THAT(failure_of(glb.substr(0, i)), Contains("."));
  }
  CHECK(refused > glb.size());
}
