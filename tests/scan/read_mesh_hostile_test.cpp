/// Files that ask for more than they hold, or for what is not theirs.

#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "scan/read/mesh/gltf_material.hpp"
#include "tests/scan/made_meshes.hpp"
#include "tests/support/facts.hpp"

using namespace flitchwise;
using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

/// A folder for scans in a folder of its own, both removed at the end.
class ScanFolder {
 public:
  ScanFolder()
      : outer_(std::filesystem::temp_directory_path() / ("flitchwise_" + std::to_string(::getpid()))) {
    std::filesystem::create_directories(inner());
  }
  ~ScanFolder() { std::filesystem::remove_all(outer_); }
  ScanFolder(const ScanFolder&) = delete;
  ScanFolder& operator=(const ScanFolder&) = delete;
  std::filesystem::path outer() const { return outer_; }
  std::filesystem::path inner() const { return outer_ / "scans"; }

 private:
  std::filesystem::path outer_;
};

void write(const std::filesystem::path& file, std::string_view bytes) {
  std::ofstream(file, std::ios::binary) << bytes;
}

std::string failure_at(const std::filesystem::path& file) {
  try {
    read(file, few_samples());
  } catch (const InputError& error) {
    return error.what();
  }
  return "read";
}

std::string nested(const std::string& before, const std::string& after) {
  constexpr std::size_t kDeep = 200'000;
  return before + std::string(kDeep, '[') + std::string(kDeep, ']') + after;
}

/// A picture of one colour: a TGA whose runs of 128 pixels take four bytes each.
std::string plain_picture(unsigned width, unsigned height) {
  std::string tga("\0\0\12\0\0\0\0\0\0\0\0\0", 12);
  for (const unsigned side : {width, height}) {
    tga += static_cast<char>(side & 0xFFU);
    tga += static_cast<char>(side >> 8U);
  }
  tga += std::string("\30\0", 2);  // 24 bits a pixel
  for (std::size_t pixels = 0; pixels < std::size_t{width} * height; pixels += 128) {
    tga += "\xFF\x10\x80\xF0";
  }
  return tga;
}

const std::string kTexturedTriangle =
    "v 0 0 0\nv 1 0 0\nv 1 1 0\nvt 0 0\nvt 1 0\nvt 1 1\nusemtl bark\nf 1/1 2/2 3/3\n";

}  // namespace

TEST_CASE("JSON nested 200,000 levels deep is refused", "[mesh]") {
  const std::string asset = R"({"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],)";
  CHECK_THAT(failure_of(nested(asset + R"("nodes":)", "}")), Contains("nested too deeply"));
  CHECK_THAT(failure_of(nested(asset + R"("nodes":[{"children":)", "}]}")), Contains("nested too deeply"));
  CHECK_THAT(failure_of(nested(asset + R"("materials":[{"extensions":{"a":)", "}}]}")),
             Contains("nested too deeply"));
}

TEST_CASE("a glTF model gets no more memory than its bytes explain", "[mesh]") {
  constexpr std::size_t kMany = 199'999'999;
  MadeGltf model;
  const std::size_t accessor = model.add_floats({1, 2, 3}, "VEC3");
  model.json["nodes"] = {{{"mesh", model.add_mesh({{"attributes", {{"POSITION", accessor}}}})}}};
  model.json["accessors"][accessor]["count"] = kMany;
  SECTION("an accessor without a view") {
    model.json["accessors"][accessor].erase("bufferView");
    CHECK_THAT(failure_of(model.glb()), Contains("more than it can hold"));
  }
  SECTION("a stride of nothing") {
    model.json["bufferViews"][0]["byteStride"] = 0;
    CHECK_THAT(failure_of(model.glb()), Contains("more than it can hold"));
    model.json["accessors"][accessor]["count"] = 2;  // a stride of nothing means no gaps
    CHECK_THAT(failure_of(model.glb()), Contains("leaves its buffer view"));
  }
  SECTION("one mesh shown ever so often") {
    MadeGltf often;
    const std::size_t mesh = often.add_mesh(often.triangles_of(Tube().mesh()));
    for (int i = 0; i < 1000; ++i) {
      often.json["nodes"].push_back({{"mesh", mesh}});
    }
    CHECK_THAT(failure_of(often.glb()), Contains("more than it can hold"));
  }
}

TEST_CASE("a picture that many textures share is decoded once", "[mesh]") {
  constexpr std::size_t kTextures = 300;
  MadeGltf model;
  model.json["images"] = {{{"bufferView", model.add_view(four_colours_png())}}, {{"uri", "gone.png"}}};
  model.json["samplers"] = {{{"wrapS", 33071}}};
  for (std::size_t i = 0; i < kTextures; ++i) {
    model.json["textures"].push_back({{"source", i / (kTextures / 2)}});
    model.json["materials"].push_back({{"pbrMetallicRoughness", {{"baseColorTexture", {{"index", i}}}}}});
  }
  model.json["textures"][1]["sampler"] = 0;
  const TemporaryFile bytes(model.glb());
  const MappedFile mapped(bytes.path());
  const GltfFile file(mapped);
  GltfMaterials materials(file);
  const MeshMaterial first = materials.read(0).look;
  REQUIRE(first.picture);
  CHECK(first.wrap_u == Wrap::repeat);
  CHECK(materials.read(1).look.wrap_u == Wrap::clamp);
  for (std::size_t i = 0; i < kTextures; ++i) {
    CHECK(materials.read(i).look.picture == (i < kTextures / 2 ? first.picture : nullptr));
  }
  CHECK(materials.warnings().size() == 1);
}

TEST_CASE("pictures are limited in size and, all together, in memory", "[mesh]") {
  Pictures pictures("larch.obj");
  CHECK(pictures.decode("large", plain_picture(4096, 4096)));
  CHECK_FALSE(pictures.decode("too large", plain_picture(10'000, 10'000)));
  CHECK(testing::fact_as<PictureMissing>(pictures.warnings()).name == "too large");

  const std::string bytes = plain_picture(2048, 2048);
  std::size_t pixels = 0;
  for (int i = 0; i < 30; ++i) {
    const auto picture = pictures.decode("one of many", bytes);
    REQUIRE(picture);
    CHECK(picture->pixels.front() == Colour{0xF0, 0x80, 0x10});
    pixels += picture->pixels.size();
  }
  CHECK(pixels < 50'000'000);
}

TEST_CASE("what a mesh names is read from its own folder only", "[mesh]") {
  const ScanFolder folder;
  MadeGltf model;
  model.json["nodes"] = {{{"mesh", model.add_mesh(model.triangles_of(square()))}}};
  const std::filesystem::path scan = folder.inner() / "larch.scan";
  const auto failure_with_buffer = [&](const std::string& name) {
    write(scan, model.with_buffer_beside(name));
    return failure_at(scan);
  };
  std::filesystem::create_directory(folder.inner() / "parts");
  write(folder.inner() / "parts" / "inside.bin", model.bytes());
  write(folder.outer() / "outside.bin", model.bytes());
  std::filesystem::create_symlink("../outside.bin", folder.inner() / "link.bin");
  REQUIRE(::mkfifo((folder.inner() / "pipe.bin").c_str(), 0600) == 0);
  CHECK(failure_with_buffer("parts/inside.bin") == "read");
  CHECK(failure_with_buffer("../scans/parts/inside.bin") == "read");
  for (const std::string& name :
       {std::string("../outside.bin"), (folder.outer() / "outside.bin").string(), std::string("link.bin"),
        std::string("pipe.bin"), std::string("/etc/passwd"), std::string("parts"), std::string("."),
        std::string()}) {
    CHECK_THAT(failure_with_buffer(name), Contains("needs the file"));
  }

  write(folder.outer() / "outside.mtl", "newmtl bark\nKd 1 0 0\n");
  write(folder.outer() / "outside.png", four_colours_png());
  write(folder.inner() / "inside.mtl", "newmtl bark\nmap_Kd ../outside.png\n");
  write(scan, "mtllib ../outside.mtl\n" + kTexturedTriangle);
  CHECK(testing::fact_as<MaterialsMissing>(read(scan, few_samples()).warnings).name == "../outside.mtl");
  write(scan, "mtllib inside.mtl\n" + kTexturedTriangle);
  CHECK(testing::fact_as<PictureMissing>(read(scan, few_samples()).warnings).name == "../outside.png");
}

TEST_CASE("a named pipe is no scan and holds nobody up", "[mesh]") {
  const ScanFolder folder;
  const std::filesystem::path pipe = folder.inner() / "pipe";
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  CHECK_THAT(failure_at(pipe), Contains("not a plain file"));
}

TEST_CASE("a file of materials that is named again and again is read and told of once", "[mesh]") {
  const TemporaryFile materials("newmtl bark\nmap_Kd gone.jpg\n", ".mtl");
  std::string obj;
  for (int i = 0; i < 1000; ++i) {
    obj += "mtllib " + materials.path().filename().string() + "\nmtllib nowhere.mtl\n";
  }
  const ReadResult result = read_bytes(obj + kTexturedTriangle, few_samples());
  REQUIRE(result.warnings.size() == 2);
  CHECK(testing::fact_as<PictureMissing>(result.warnings[0]).name == "gone.jpg");
  CHECK(testing::fact_as<MaterialsMissing>(result.warnings[1]).name == "nowhere.mtl");
}
