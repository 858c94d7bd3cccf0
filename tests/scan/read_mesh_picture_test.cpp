/// Pictures on meshes, and what is said when they are missing.

#include <catch2/catch.hpp>

#include "tests/scan/made_meshes.hpp"
#include "tests/support/facts.hpp"

using namespace flitchwise;
using namespace flitchwise::scan;
using namespace flitchwise::scan::test;

namespace {

constexpr Colour kRed = {255, 0, 0};
constexpr Colour kGreen = {0, 255, 0};
constexpr Colour kBlue = {0, 0, 255};
constexpr Colour kWhite = {255, 255, 255};
constexpr Colour kGreyOfMissing = {128, 128, 128};

/// The picture's upper row is red, green; it lies on the square with its upper row at y = 1.
void check_four_colours(const Cloud& cloud) {
  REQUIRE(cloud.colours.size() == cloud.size());
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    const Eigen::Vector3d p = cloud.at(i);
    if (std::abs(p.x() - 0.5) < 1e-5 || std::abs(p.y() - 0.5) < 1e-5) {
      continue;  // on the seam rounding decides
    }
    const Colour wanted = p.y() > 0.5 ? (p.x() < 0.5 ? kRed : kGreen) : (p.x() < 0.5 ? kBlue : kWhite);
    REQUIRE(cloud.colours[i] == wanted);
  }
}

const std::string kSquareObj =
    "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\nusemtl bark\nf 1/1 2/2 3/3 4/4\n";

std::string name_of(const TemporaryFile& file) {
  return file.path().filename().string();
}

/// The square as glTF; `image` goes into its images.
std::string square_gltf(MadeGltf& model, const nlohmann::json& image, bool binary) {
  nlohmann::json primitive = model.triangles_of(square());
  primitive["attributes"]["TEXCOORD_0"] = model.add_floats({0, 1, 1, 1, 1, 0, 0, 0}, "VEC2");  // v downwards
  primitive["material"] = 0;
  model.json["materials"] = {{{"pbrMetallicRoughness", {{"baseColorTexture", {{"index", 0}}}}}}};
  model.json["textures"] = {{{"source", 0}}};
  model.json["images"].push_back(image);
  model.json["nodes"] = {{{"mesh", model.add_mesh(primitive)}}};
  return binary ? model.glb() : model.with_data_uri();
}

}  // namespace

TEST_CASE("an OBJ mesh takes its colours from the picture of its material", "[mesh]") {
  const TemporaryFile picture(four_colours_png(), " with blanks.png");
  const std::string option = GENERATE(as<std::string>(), "", "-s 1 1 1 -clamp on ", "C:\\scans\\");
  const TemporaryFile materials(
      "newmtl other\r\nKd 1 0 0\r\nnewmtl bark\r\nKd 0 0 0\r\nmap_Kd " + option + name_of(picture) + "\r\n",
      ".mtl");
  const ReadResult result = read_bytes("mtllib " + name_of(materials) + "\n" + kSquareObj, few_samples());
  check_four_colours(result.cloud);
  CHECK(result.warnings.empty());
}

TEST_CASE("a material without picture gives its colour", "[mesh]") {
  const TemporaryFile materials("newmtl bark\nKd 1 0.5 0\n", ".mtl");
  const Cloud cloud = read_bytes("mtllib " + name_of(materials) + "\n" + kSquareObj, few_samples()).cloud;
  REQUIRE(cloud.colours.size() == cloud.size());
  CHECK(cloud.colours[7] == Colour{255, 128, 0});
}

TEST_CASE("missing pictures and materials make the mesh grey and are told", "[mesh]") {
  const TemporaryFile no_picture("newmtl bark\nmap_Kd gone.jpg\n", ".mtl");
  const TemporaryFile broken(four_colours_png().substr(0, 50), ".png");
  const TemporaryFile broken_picture("newmtl bark\nmap_Kd " + name_of(broken) + "\n", ".mtl");
  const auto warning_of = [](const std::string& library) {
    const ReadResult result = read_bytes("mtllib " + library + "\n" + kSquareObj, few_samples());
    REQUIRE(result.cloud.colours.size() == result.cloud.size());
    CHECK(result.cloud.colours[7] == kGreyOfMissing);
    REQUIRE(result.warnings.size() == 1);
    return result.warnings.front();
  };
  CHECK(testing::fact_as<PictureMissing>(warning_of(name_of(no_picture))).name == "gone.jpg");
  CHECK(testing::fact_as<PictureMissing>(warning_of(name_of(broken_picture))).name == name_of(broken));
  CHECK(testing::fact_as<MaterialsMissing>(warning_of("nowhere.mtl")).name == "nowhere.mtl");
}

TEST_CASE("a PLY mesh takes its colours from its picture", "[mesh]") {
  const TemporaryFile picture(four_colours_png(), ".png");
  const std::string head = "ply\nformat ascii 1.0\ncomment TextureFile ";
  const std::string rest =
      "\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nelement face 1\n"
      "property list uchar int vertex_index\nproperty list uchar float texcoord\nend_header\n"
      "0 0 0\n1 0 0\n1 1 0\n0 1 0\n4 0 1 2 3 8 0 0 1 0 1 1 0 1\n";
  check_four_colours(read_bytes(head + name_of(picture) + rest, few_samples()).cloud);
  const ReadResult grey = read_bytes(head + "gone.png" + rest, few_samples());
  CHECK(grey.cloud.colours[7] == kGreyOfMissing);
  CHECK(testing::fact_as<PictureMissing>(grey.warnings).name == "gone.png");
}

TEST_CASE("a glTF mesh takes its colours from its picture, inside or beside it", "[mesh]") {
  const TemporaryFile picture(four_colours_png(), ".png");
  const bool binary = GENERATE(false, true);
  MadeGltf inside;
  const std::size_t view = inside.add_view(four_colours_png());
  check_four_colours(
      read_bytes(square_gltf(inside, {{"bufferView", view}, {"mimeType", "image/png"}}, binary),
                 few_samples())
          .cloud);
  MadeGltf beside;
  check_four_colours(
      read_bytes(square_gltf(beside, {{"uri", name_of(picture)}}, binary), few_samples()).cloud);
  MadeGltf gone;
  const ReadResult grey = read_bytes(square_gltf(gone, {{"uri", "gone%20away.png"}}, binary), few_samples());
  CHECK(grey.cloud.colours[7] == kGreyOfMissing);
  CHECK(testing::fact_as<PictureMissing>(grey.warnings).name == "gone away.png");
}
