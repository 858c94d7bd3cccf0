/// Meshes written by assimp, which shares no code with the readers, and a log read from a mesh to its shape.

#include <assimp/scene.h>

#include <assimp/Exporter.hpp>
#include <catch2/catch.hpp>

#include "scan/find/isolate.hpp"
#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "tests/scan/made_meshes.hpp"

using namespace flitchwise;
using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::WithinAbs;

namespace {

/// The same mesh as assimp holds it. assimp frees what hangs in a scene.
void fill_scene(const MadeMesh& mesh, aiScene& scene) {
  scene.mMaterials = new aiMaterial* [1] { new aiMaterial };
  scene.mNumMaterials = 1;
  auto* const made = new aiMesh;
  scene.mMeshes = new aiMesh* [1] { made };
  scene.mNumMeshes = 1;
  scene.mRootNode = new aiNode("log");
  scene.mRootNode->mMeshes = new unsigned[1]{0};
  scene.mRootNode->mNumMeshes = 1;
  made->mPrimitiveTypes = aiPrimitiveType_TRIANGLE;
  made->mNumVertices = static_cast<unsigned>(mesh.vertices.size());
  made->mVertices = new aiVector3D[mesh.vertices.size()];
  for (std::size_t i = 0; i < mesh.vertices.size(); ++i) {
    const Eigen::Vector3f v = mesh.vertices[i].cast<float>();
    made->mVertices[i] = aiVector3D(v.x(), v.y(), v.z());
  }
  made->mNumFaces = static_cast<unsigned>(mesh.faces.size());
  made->mFaces = new aiFace[mesh.faces.size()];
  for (std::size_t i = 0; i < mesh.faces.size(); ++i) {
    made->mFaces[i].mNumIndices = 3;
    made->mFaces[i].mIndices = new unsigned[3]{mesh.faces[i][0], mesh.faces[i][1], mesh.faces[i][2]};
  }
}

/// The log on flat ground, 4 m wide, in metres with y up.
MadeMesh scene_with_y_up(const Tube& log) {
  MadeMesh mesh = log.mesh();
  const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
  for (const double x : {-1.0, log.length + 1}) {
    for (const double y : {-2.0, 2.0}) {
      mesh.vertices.emplace_back(x, y, 0);
    }
  }
  mesh.faces.push_back({first, first + 2, first + 3, first + 1});
  for (Eigen::Vector3d& v : mesh.vertices) {
    v = Eigen::Vector3d(v.x(), v.z(), -v.y());
  }
  return mesh;
}

}  // namespace

TEST_CASE("meshes by assimp are read alike in every format", "[mesh]") {
  const Tube tube;
  const std::string id =
      GENERATE(as<std::string>(), "obj", "objnomtl", "stl", "stlb", "ply", "plyb", "gltf2", "glb2");
  aiScene scene;
  fill_scene(triangulated(tube.mesh()), scene);
  const TemporaryFile file({}, "." + id);
  Assimp::Exporter exporter;
  REQUIRE(exporter.Export(&scene, id, file.path().string()) == aiReturn_SUCCESS);
  const ReadResult result = read(file.path(), few_samples());
  INFO(id);
  CHECK(result.cloud.size() == few_samples().max_points);
  CHECK(largest_distance(result.cloud, tube) < 0.00011);  // the sagitta, as in read_mesh_test.cpp
  CHECK(unevenness(result.cloud, tube) < 0.5);
  std::filesystem::remove(file.path().string() + ".bin");
  std::filesystem::remove(std::filesystem::path(file.path()).replace_extension("bin"));
  std::filesystem::remove(std::filesystem::path(file.path()).replace_extension("mtl"));
}

TEST_CASE("a log is measured right from a glTF mesh, without being told unit or up", "[mesh]") {
  const Tube log{3.2, 0.18, 96, 30};
  MadeGltf model;
  model.json["nodes"] = {{{"mesh", model.add_mesh(model.triangles_of(scene_with_y_up(log)))}}};
  ReadOptions read_options;
  read_options.max_points = 400'000;
  const ReadResult file = read_bytes(model.glb(), read_options);

  OrientOptions options;
  options.metres_per_unit = file.frame.metres_per_unit.value();
  options.up = file.frame.up;
  const OrientResult oriented = orient(file.cloud, options);
  CHECK(oriented.up_source.axis == "+y");
  const LogCloud found = isolate(oriented.cloud, oriented.ground);
  REQUIRE(found.status == LogCloud::Status::ok);
  const FitResult fitted = fit(found);
  REQUIRE(fitted.status == FitResult::Status::ok);
  CHECK_THAT(fitted.log.length_m, WithinAbs(log.length, 0.005));
  CHECK_THAT(fitted.log.small_end_diameter_m(), WithinAbs(2 * log.radius, 0.003));
  CHECK_THAT(fitted.log.large_end_diameter_m(), WithinAbs(2 * log.radius, 0.003));
}
