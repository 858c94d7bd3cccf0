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
  constexpr int kDeepest = 64;  // of the format's own objects a dozen
  document_ = json::parse(text, [this](int depth, json::parse_event_t, const json&) {
    if (depth > kDeepest) {
      fail_damaged("its JSON is nested too deeply");
    }
    return true;
  });
}

void GltfFile::refuse_what_is_not_read() const {
  const std::string version = document_.at("asset").value("version", std::string());
  if (!version.starts_with("2")) {
    fail(path(), "is a glTF model of version " + scan::quoted(version) +
                     ", which is not read: open it in Blender (free) and export it as glTF 2.0");
  }
  for (const char* packed : {"EXT_meshopt_compression", "KHR_meshopt_compression"}) {
    if (lists(document_, "extensionsRequired", packed)) {
      fail(path(),
           "is a compressed glTF model (" + std::string(packed) +
               "), which is not read: open it in Blender (free) and export it without compression, with "
               "Draco's, or as PLY");
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
        files_.push_back(std::make_unique<MappedFile>(neighbour_of(path(), name)));
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

void GltfFile::passed(const char* position) const {
  PageReleaser(file_).passed(position);
  for (const auto& file : files_) {
    PageReleaser(*file).passed(position);
  }
}

void GltfFile::check_size(std::uint64_t corners) const {
  constexpr std::uint64_t kFree = 1'000'000;  // a few megabytes
  constexpr std::uint64_t kMostAByte = 8;     // as in draco.cpp; what is shown a few times fits, too
  std::uint64_t bytes = file_.bytes().size();
  for (const std::string_view buffer : buffers_) {
    bytes += buffer.size();
  }
  check_mesh_size(path(), corners);
  if (corners > kFree + kMostAByte * bytes) {
    fail_damaged("it asks for " + grouped(corners) + " corners, more than it can hold");
  }
}

void GltfFile::fail_damaged(const std::string& what) const {
  fail(path(), "is a damaged glTF model: " + what + "; copy or export it again");
}

const json* extension(const json& object, const char* name) {
  const auto all = object.find("extensions");
  if (all == object.end() || !all->is_object()) {
    return nullptr;
  }
  const auto at = all->find(name);
  return at == all->end() ? nullptr : &*at;
}

std::optional<std::vector<char>> decode_data_uri(std::string_view uri) {
  constexpr std::string_view kMark = ";base64,";
  constexpr std::string_view kAlphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  constexpr unsigned kSix = 6;
  constexpr unsigned kEight = 8;
  std::array<unsigned char, 256> values;  // of letters; kAlphabet.size() for those that have none
  values.fill(kAlphabet.size());
  for (std::size_t i = 0; i < kAlphabet.size(); ++i) {
    values.at(static_cast<unsigned char>(kAlphabet[i])) = static_cast<unsigned char>(i);
  }
  const std::size_t mark = uri.find(kMark);
  if (!uri.starts_with("data:") || mark == std::string_view::npos) {
    return std::nullopt;
  }
  uri.remove_prefix(mark + kMark.size());
  uri = uri.substr(0, uri.find_last_not_of('=') + 1);
  std::vector<char> bytes;
  bytes.reserve(uri.size() / 4 * 3 + 2);
  unsigned held = 0;
  unsigned bits = 0;
  for (const char letter : uri) {
    const unsigned value = values.at(static_cast<unsigned char>(letter));
    if (value == kAlphabet.size()) {
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

}  // namespace flitchwise::scan
