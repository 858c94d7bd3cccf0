/// glTF models packed by Draco, whose own encoder is the witness.

#include <draco/compression/encode.h>
#include <draco/mesh/triangle_soup_mesh_builder.h>

#include <catch2/catch.hpp>

#include "scan/read/mesh/draco.hpp"
#include "tests/scan/made_meshes.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

constexpr int kBits = 16;
// The faces' sagitta, as in read_mesh_test.cpp, and half a step of 3 m in 2^16 along each axis.
constexpr double kTolerance = 0.00011 + 0.00004;

enum class How { by_edges, in_sequence };

/// The mesh packed; with colours, red grows from 0 to 255 over 3 m of x.
std::string packed(const MadeMesh& mesh, How how, bool with_colours) {
  const MadeMesh triangles = triangulated(mesh);
  draco::TriangleSoupMeshBuilder builder;
  builder.Start(static_cast<int>(triangles.faces.size()));
  const int positions = builder.AddAttribute(draco::GeometryAttribute::POSITION, 3, draco::DT_FLOAT32);
  const int colours =
      with_colours ? builder.AddAttribute(draco::GeometryAttribute::COLOR, 4, draco::DT_UINT8) : -1;
  for (std::size_t i = 0; i < triangles.faces.size(); ++i) {
    std::array<std::array<float, 3>, 3> at{};
    std::array<std::array<std::uint8_t, 4>, 3> shown{};
    for (std::size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3f v = triangles.vertices[triangles.faces[i][k]].cast<float>();
      at.at(k) = {v.x(), v.y(), v.z()};
      shown.at(k) = {static_cast<std::uint8_t>(v.x() * 85), 0, 255, 255};
    }
    const draco::FaceIndex face(static_cast<std::uint32_t>(i));
    builder.SetAttributeValuesForFace(positions, face, at[0].data(), at[1].data(), at[2].data());
    if (with_colours) {
      builder.SetAttributeValuesForFace(colours, face, shown[0].data(), shown[1].data(), shown[2].data());
    }
  }
  const auto built = builder.Finalize();
  draco::Encoder encoder;
  encoder.SetAttributeQuantization(draco::GeometryAttribute::POSITION, kBits);
  encoder.SetEncodingMethod(how == How::by_edges ? draco::MESH_EDGEBREAKER_ENCODING
                                                 : draco::MESH_SEQUENTIAL_ENCODING);
  draco::EncoderBuffer buffer;
  REQUIRE(encoder.EncodeMeshToBuffer(*built, &buffer).ok());
  return {buffer.data(), buffer.size()};
}

/// A model of one packed mesh; its accessors have no bytes of their own.
std::string model_of(const std::string& bytes, bool with_colours) {
  MadeGltf model;
  const std::size_t view = model.add_view(bytes);
  model.json["extensionsRequired"] = {"KHR_draco_mesh_compression"};
  model.json["accessors"] = {{{"count", 2978}, {"type", "VEC3"}, {"componentType", kFloat}},
                             {{"count", 17856}, {"type", "SCALAR"}, {"componentType", kUnsignedShort}}};
  nlohmann::json primitive = {{"attributes", {{"POSITION", 0}}}, {"indices", 1}};
  nlohmann::json extension = {{"bufferView", view}, {"attributes", {{"POSITION", 0}}}};
  if (with_colours) {
    model.json["accessors"].push_back(
        {{"count", 2978}, {"type", "VEC4"}, {"componentType", kUnsignedByte}, {"normalized", true}});
    primitive["attributes"]["COLOR_0"] = 2;
    extension["attributes"]["COLOR_0"] = 1;
  }
  primitive["extensions"]["KHR_draco_mesh_compression"] = extension;
  model.json["nodes"] = {{{"mesh", model.add_mesh(primitive)}}};
  return model.glb();
}

}  // namespace

TEST_CASE("a mesh packed by Draco is read like an unpacked one", "[mesh]") {
  const How how = GENERATE(How::by_edges, How::in_sequence);
  const ReadResult result = read_bytes(model_of(packed(Tube().mesh(), how, false), false), few_samples());
  CHECK(result.format.triangles == 5952);
  CHECK(result.cloud.size() == few_samples().max_points);
  CHECK(result.cloud.colours.empty());
  CHECK(largest_distance(result.cloud, Tube()) < kTolerance);
  CHECK(unevenness(result.cloud, Tube()) < 0.5);
}

TEST_CASE("colours packed by Draco are lights from 0 to 1", "[mesh]") {
  const Cloud cloud =
      read_bytes(model_of(packed(Tube().mesh(), How::by_edges, true), true), few_samples()).cloud;
  REQUIRE(cloud.colours.size() == cloud.size());
  constexpr double kMiddle = 188;  // of the screen: half the light
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    REQUIRE(cloud.colours[i][1] == 0);
    REQUIRE(cloud.colours[i][2] == 255);
    if (std::abs(cloud.at(i).x() - 1.5) < 0.01) {
      REQUIRE(std::abs(cloud.colours[i][0] - kMiddle) < 4);  // between rings the screen's values are blended
    }
  }
}

TEST_CASE("damaged and lying packed meshes are refused with one sentence", "[mesh]") {
  const std::string good = packed(Tube().mesh(), How::in_sequence, false);
  REQUIRE(unpack_draco(good, {{"POSITION", 0}}).has_value());
  CHECK_FALSE(unpack_draco(good, {{"POSITION", 7}}).has_value());
  CHECK_FALSE(unpack_draco({}, {}).has_value());
  CHECK_FALSE(unpack_draco("DRACO", {}).has_value());
  std::string many = good;  // 34 million triangles: far more than such bytes hold
  many.replace(11, 4, "\xFF\xFF\xFF\x10");
  CHECK_FALSE(unpack_draco(many, {{"POSITION", 0}}).has_value());
  CHECK_THAT(failure_of(model_of(good.substr(0, good.size() / 2), false)),
             Contains("Draco packed cannot be unpacked"));
}

TEST_CASE("no changed byte of a packed mesh does any harm", "[mesh]") {
  ReadOptions options;
  options.max_points = 1000;
  const How how = GENERATE(How::by_edges, How::in_sequence);
  const std::string good = packed(Tube{3, 0.2, 8, 4}.mesh(), how, false);
  for (std::size_t i = 0; i < good.size(); ++i) {
    for (const char change : {'\0', '\x7F', '\xFF'}) {
      std::string bytes = good;
      bytes[i] = change;
      const std::string failure = failure_of(model_of(bytes, false), options);
      CHECK((failure == "read" || failure.ends_with('.')));
    }
  }
}
