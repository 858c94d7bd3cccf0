#include "scan/read/mesh/gltf_file.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "scan/model/errors.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/mesh.hpp"
#include "scan/read/records.hpp"

namespace flitchwise::scan {
namespace {

using nlohmann::json;

// GLB: a header of three words, then chunks of two words and their bytes.
constexpr std::size_t kWord = sizeof(std::uint32_t);
constexpr std::size_t kHeader = 3 * kWord;
constexpr std::size_t kChunkHeader = 2 * kWord;

std::size_t word_at(std::string_view bytes, std::size_t at) {
  return static_cast<std::size_t>(load(bytes.data() + at, Scalar::u32, false));
}

/// Six bits of base64; 64 for anything else.
unsigned base64_value(char letter) {
  constexpr unsigned kNone = 64;
  constexpr std::string_view kAlphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  static const std::array<unsigned char, 256> kValues = [&] {
    std::array<unsigned char, 256> values{};
    values.fill(kNone);
    for (std::size_t i = 0; i < kAlphabet.size(); ++i) {
      values.at(static_cast<unsigned char>(kAlphabet[i])) = static_cast<unsigned char>(i);
    }
    return values;
  }();
  return kValues.at(static_cast<unsigned char>(letter));
}

Scalar scalar_of(const GltfFile& file, std::size_t component_type) {
  constexpr std::size_t kFirst = 5120;
  constexpr std::array<std::optional<Scalar>, 7> kTypes = {
      Scalar::i8, Scalar::u8, Scalar::i16, Scalar::u16, std::nullopt, Scalar::u32, Scalar::f32};
  if (component_type < kFirst || component_type - kFirst >= kTypes.size() ||
      !kTypes.at(component_type - kFirst)) {
    file.fail_damaged("unknown component type " + std::to_string(component_type));
  }
  return *kTypes.at(component_type - kFirst);
}

/// What a normalised integer is multiplied with.
double normalising_factor(Scalar type) {
  switch (type) {
    case Scalar::i8:
      return 1.0 / 127;
    case Scalar::u8:
      return 1.0 / 255;
    case Scalar::i16:
      return 1.0 / 32767;
    case Scalar::u16:
      return 1.0 / 65535;
    default:
      return 1;
  }
}

bool lists(const json& document, const char* array, std::string_view wanted) {
  const auto at = document.find(array);
  return at != document.end() && at->is_array() &&
         std::any_of(at->begin(), at->end(), [&](const json& entry) { return entry == wanted; });
}

}  // namespace

GltfFile::GltfFile(const MappedFile& file) : file_(file) {
  read_container();
  if (!document_.is_object() || !document_.contains("asset")) {
    fail(path(), "is JSON, but no glTF model: give the scan itself, for example as PLY or GLB");
  }
  refuse_what_is_not_read();
  load_buffers();
}

void GltfFile::read_container() {
  std::string_view text = file_.bytes();
  is_binary_ = text.starts_with("glTF");
  if (is_binary_) {
    if (text.size() < kHeader + kChunkHeader || word_at(text, 2 * kWord) > text.size()) {
      fail(path(), "ends before its GLB model does: the copy was cut short; copy it again");
    }
    std::string_view rest = text.substr(kHeader, word_at(text, 2 * kWord) - kHeader);
    text = {};
    for (int chunk = 0; rest.size() >= kChunkHeader; ++chunk) {
      const std::size_t length = word_at(rest, 0);
      const std::string_view kind = rest.substr(kWord, kWord);
      rest.remove_prefix(kChunkHeader);
      if (length > rest.size()) {
        fail_damaged("a chunk is longer than the file");
      }
      if (chunk == 0 && kind == "JSON") {
        text = rest.substr(0, length);
      } else if (!binary_chunk_ && kind.starts_with("BIN")) {
        binary_chunk_ = rest.substr(0, length);
      }
      rest.remove_prefix(std::min(length, rest.size()));
    }
  }
  document_ = json::parse(text);
}

void GltfFile::refuse_what_is_not_read() const {
  const std::string version = document_.at("asset").value("version", std::string());
  if (!version.starts_with("2")) {
    fail(path(), "is a glTF model of version " + scan::quoted(version) +
                     ", which is not read: open it in Blender (free) and export it as glTF 2.0");
  }
  for (const char* packed :
       {"KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_meshopt_compression"}) {
    if (lists(document_, "extensionsRequired", packed)) {
      fail(path(),
           "is a compressed glTF model (" + std::string(packed) +
               "), which is not read: open it in Blender (free) and export it without compression, or "
               "as PLY");
    }
  }
}

void GltfFile::load_buffers() {
  const auto buffers = document_.find("buffers");
  if (buffers == document_.end()) {
    return;
  }
  for (std::size_t i = 0; i < buffers->size(); ++i) {
    load_buffer(buffers->at(i), i == 0);
  }
}

void GltfFile::load_buffer(json& buffer, bool is_first) {
  constexpr std::string_view kData = "data:";
  const std::size_t length = number(buffer, "byteLength");
  std::string_view bytes;
  if (!buffer.contains("uri")) {
    if (!is_first || !binary_chunk_) {
      fail_damaged("a buffer has no bytes");
    }
    bytes = *binary_chunk_;
  } else {
    const auto& uri = buffer.at("uri").get_ref<const std::string&>();
    if (uri.starts_with(kData)) {
      std::optional<std::vector<char>> decoded = decode_data_uri(uri);
      if (!decoded) {
        fail_damaged("a buffer is no sound base64");
      }
      decoded_.push_back(std::make_unique<std::vector<char>>(*std::move(decoded)));
      bytes = {decoded_.back()->data(), decoded_.back()->size()};
    } else {
      const std::string name = decode_percent(uri);
      try {
        files_.push_back(std::make_unique<MappedFile>(path().parent_path() / name));
      } catch (const InputError&) {
        fail(path(), "needs the file " + scan::quoted(name) +
                         " beside it, which is missing or empty: copy it to the same folder");
      }
      bytes = files_.back()->bytes();
    }
    buffer.erase("uri");  // once is enough in memory
  }
  if (bytes.size() < length) {
    fail(path(), "has only " + grouped(bytes.size()) + " of the " + grouped(length) +
                     " bytes of a buffer: the copy was cut short; copy it again");
  }
  buffers_.push_back(bytes.substr(0, length));
}

const json& GltfFile::element(const char* array, std::size_t index) const {
  const auto at = document_.find(array);
  if (at == document_.end() || !at->is_array() || index >= at->size()) {
    fail_damaged("there is no number " + std::to_string(index) + " among its " + array);
  }
  return (*at)[index];
}

std::size_t GltfFile::number(const json& object, const char* name, std::size_t otherwise) const {
  return object.contains(name) ? number(object, name) : otherwise;
}

std::size_t GltfFile::number(const json& object, const char* name) const {
  const auto at = object.find(name);
  if (at == object.end() || !at->is_number_unsigned()) {
    fail_damaged(std::string(name) + " is missing or no whole number");
  }
  return at->get<std::size_t>();
}

std::string_view GltfFile::view(std::size_t index) const {
  const json& view = element("bufferViews", index);
  const std::size_t buffer = number(view, "buffer");
  const std::size_t offset = number(view, "byteOffset", 0);
  const std::size_t length = number(view, "byteLength");
  if (buffer >= buffers_.size() || offset > buffers_[buffer].size() ||
      length > buffers_[buffer].size() - offset) {
    fail_damaged("a buffer view leaves its buffer");
  }
  return buffers_[buffer].substr(offset, length);
}

void GltfFile::fail_damaged(const std::string& what) const {
  fail(path(), "is a damaged glTF model: " + what + "; copy or export it again");
}

std::optional<std::vector<char>> decode_data_uri(std::string_view uri) {
  constexpr std::string_view kMark = ";base64,";
  constexpr unsigned kSix = 6;
  constexpr unsigned kEight = 8;
  constexpr unsigned kNone = 64;
  const std::size_t mark = uri.find(kMark);
  if (!uri.starts_with("data:") || mark == std::string_view::npos) {
    return std::nullopt;
  }
  uri.remove_prefix(mark + kMark.size());
  while (uri.ends_with('=')) {
    uri.remove_suffix(1);
  }
  std::vector<char> bytes;
  bytes.reserve(uri.size() / 4 * 3 + 2);
  unsigned held = 0;
  unsigned bits = 0;
  for (const char letter : uri) {
    const unsigned value = base64_value(letter);
    if (value == kNone) {
      return std::nullopt;
    }
    held = (held << kSix) | value;
    bits += kSix;
    if (bits >= kEight) {
      bits -= kEight;
      bytes.push_back(static_cast<char>((held >> bits) & 0xFFU));
    }
  }
  return bytes;
}

std::string decode_percent(std::string_view uri) {
  constexpr std::size_t kDigits = 2;
  constexpr int kHexadecimal = 16;
  std::string decoded;
  for (std::size_t i = 0; i < uri.size(); ++i) {
    int value = 0;
    const std::string_view digits = uri.substr(i + 1, kDigits);
    if (uri[i] == '%' && digits.size() == kDigits &&
        std::from_chars(digits.data(), digits.data() + kDigits, value, kHexadecimal).ptr ==
            digits.data() + kDigits) {
      decoded += static_cast<char>(value);
      i += kDigits;
    } else {
      decoded += uri[i];
    }
  }
  return decoded;
}

GltfAccessor::GltfAccessor(const GltfFile& file, std::size_t index) {
  const json& accessor = file.element("accessors", index);
  count_ = file.number(accessor, "count");
  check_mesh_size(file.path(), count_);
  const std::string type = accessor.at("type").get<std::string>();
  components_ = type == "SCALAR" ? 1 : type == "VEC2" ? 2 : type == "VEC3" ? 3 : type == "VEC4" ? 4 : 0;
  if (components_ == 0) {
    file.fail_damaged("an accessor of type " + scan::quoted(type));
  }
  type_ = scalar_of(file, file.number(accessor, "componentType"));
  factor_ = accessor.value("normalized", false) ? normalising_factor(type_) : 1;
  if (accessor.contains("bufferView")) {
    const std::size_t view = file.number(accessor, "bufferView");
    const std::size_t offset = file.number(accessor, "byteOffset", 0);
    const std::size_t size = components_ * size_of(type_);
    bytes_ = file.view(view);
    stride_ = file.number(file.element("bufferViews", view), "byteStride", size);
    if (offset > bytes_.size() ||
        (count_ > 0 && (bytes_.size() - offset < size ||
                        (stride_ > 0 && (bytes_.size() - offset - size) / stride_ < count_ - 1)))) {
      file.fail_damaged("an accessor leaves its buffer view");
    }
    bytes_.remove_prefix(offset);
  }
  if (accessor.contains("sparse")) {
    read_sparse(file, accessor.at("sparse"));
  }
}

void GltfAccessor::read_sparse(const GltfFile& file, const json& sparse) {
  const std::size_t count = file.number(sparse, "count");
  const json& indices = sparse.at("indices");
  const json& values = sparse.at("values");
  const Scalar type = scalar_of(file, file.number(indices, "componentType"));
  const auto bytes_of = [&](const json& part, std::size_t size) {
    const std::string_view view = file.view(file.number(part, "bufferView"));
    const std::size_t offset = file.number(part, "byteOffset", 0);
    if (offset > view.size() || count > (view.size() - offset) / size) {
      file.fail_damaged("a sparse accessor leaves its buffer view");
    }
    return view.substr(offset);
  };
  const std::string_view index_bytes = bytes_of(indices, size_of(type));
  replacements_ = bytes_of(values, components_ * size_of(type_));
  for (std::size_t i = 0; i < count; ++i) {
    const double index = load(index_bytes.data() + i * size_of(type), type, false);
    if (!(index >= 0 && index < static_cast<double>(count_)) ||
        (!replaced_.empty() && index <= static_cast<double>(replaced_.back()))) {
      file.fail_damaged("the indices of a sparse accessor do not ascend");
    }
    replaced_.push_back(static_cast<std::uint32_t>(index));
  }
}

double GltfAccessor::at(std::size_t element, std::size_t component) const {
  const std::size_t within = component * size_of(type_);
  if (!replaced_.empty()) {
    const auto found = std::lower_bound(replaced_.begin(), replaced_.end(), element);
    if (found != replaced_.end() && *found == element) {
      const auto place = static_cast<std::size_t>(found - replaced_.begin());
      return factor_ *
             load(replacements_.data() + place * components_ * size_of(type_) + within, type_, false);
    }
  }
  return bytes_.empty() ? 0 : factor_ * load(bytes_.data() + element * stride_ + within, type_, false);
}

}  // namespace flitchwise::scan
