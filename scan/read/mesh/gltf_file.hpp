#pragma once
/// The JSON of a glTF model and the bytes that it points to, with every length checked. MESHES.md says why
/// not by a library.

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {

class GltfFile {
 public:
  /// Throws InputError as open_gltf does.
  explicit GltfFile(const MappedFile& file);

  const nlohmann::json& document() const { return document_; }
  const std::filesystem::path& path() const { return file_.path(); }
  bool is_binary() const { return is_binary_; }

  /// Element `index` of the document's array of this name; throws InputError if there is none.
  const nlohmann::json& element(const char* array, std::size_t index) const;
  /// The whole number of this name, or `otherwise` if there is none.
  std::size_t number(const nlohmann::json& object, const char* name, std::size_t otherwise) const;
  /// The same, which must be there.
  std::size_t number(const nlohmann::json& object, const char* name) const;
  /// Bytes of a buffer view.
  std::string_view view(std::size_t index) const;
  /// Gives memory back: the bytes before `position`, in whichever file it lies, are done with.
  void passed(const char* position) const;

  /// Throws InputError if a mesh of so many corners is too large, or larger than the model's bytes explain.
  void check_size(std::uint64_t corners) const;
  /// "is a damaged glTF model: `what`; copy or export it again".
  [[noreturn]] void fail_damaged(const std::string& what) const;

 private:
  void read_container();
  void refuse_what_is_not_read() const;
  void load_buffers();
  void load_buffer(nlohmann::json& buffer, bool is_first);

  const MappedFile& file_;
  nlohmann::json document_;
  bool is_binary_ = false;
  std::optional<std::string_view> binary_chunk_;
  std::vector<std::string_view> buffers_;
  std::vector<std::unique_ptr<MappedFile>> files_;           // that buffers_ point into
  std::vector<std::unique_ptr<std::vector<char>>> decoded_;  // the same
};

/// The extension of this name; null if the object has none.
const nlohmann::json* extension(const nlohmann::json& object, const char* name);

/// The bytes of "data:...;base64,..."; empty if it is no such thing or broken.
std::optional<std::vector<char>> decode_data_uri(std::string_view uri);

/// "bark%20a.jpg" -> "bark a.jpg".
std::string decode_percent(std::string_view uri);

}  // namespace flitchwise::scan
