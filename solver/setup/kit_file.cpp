#include "solver/setup/kit_file.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <numeric>
#include <sstream>

#include "scan/model/errors.hpp"
#include "solver/setup/beam.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kMm = 0.001;
constexpr double kPascalsAGigapascal = 1e9;
constexpr const char* kTables[] = {"rail", "supports", "screws", "saw", "limits"};
constexpr const char* kOptionalTables[] = {"brackets", "truing"};
/// May stand for screws.reach_max_mm: what stands out below the support.
constexpr const char* kLengthBelowKey = "length_below_support_mm";

/// The hollow rectangle that may stand for rail.ei_n_m2.
struct Section {
  double width_mm = 0;
  double height_mm = 0;
  double wall_mm = 0;
  double modulus_gpa = 0;
};
struct SectionKey {
  const char* name;
  double Section::*member;
};
constexpr std::array<SectionKey, 4> kSectionKeys{{{"section_width_mm", &Section::width_mm},
                                                  {"section_height_mm", &Section::height_mm},
                                                  {"section_wall_mm", &Section::wall_mm},
                                                  {"modulus_gpa", &Section::modulus_gpa}}};
constexpr const char* kStiffnessKey = "ei_n_m2";

/// "kit.toml, line 12: "
std::string place_text(const std::filesystem::path& file, const toml::source_region& where) {
  std::string text = "kit file " + file.string();
  if (where.begin.line > 0) {
    text += ", line " + std::to_string(where.begin.line);
  }
  return text + ": ";
}

/// Number of letters to insert, delete or replace on the way from a to b.
std::size_t edit_distance(const std::string& a, const std::string& b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, replaced});
    }
  }
  return row.back();
}

std::vector<std::string> known_keys(const std::string& table) {
  std::vector<std::string> names;
  for (const KitKey& key : kit_keys()) {
    if (key.table == table) {
      names.emplace_back(key.name);
    }
  }
  if (table == "rail") {
    for (const SectionKey& key : kSectionKeys) {
      names.emplace_back(key.name);
    }
  }
  if (table == "supports") {
    names.emplace_back("positions_mm");
  }
  if (table == "screws") {
    names.emplace_back(kLengthBelowKey);
  }
  if (table == "truing") {
    names.emplace_back("method");
  }
  if (table.empty()) {
    names.emplace_back("name");
    names.insert(names.end(), std::begin(kTables), std::end(kTables));
    names.insert(names.end(), std::begin(kOptionalTables), std::end(kOptionalTables));
  }
  return names;
}

/// One kit file while it is read.
class KitFile {
 public:
  KitFile(std::string_view text, const std::filesystem::path& file) : file_(file), root_(parse(text, file)) {}

  Kit read() const {
    check_names(root_, "");
    for (const char* table : kTables) {
      check_names(table_at(table), table);
    }
    for (const char* table : kOptionalTables) {
      if (root_.contains(table)) {
        check_names(table_at(table), table);
      }
    }
    Kit kit;
    kit.name = root_["name"].value_or(file_.filename().string());
    for (const KitKey& key : kit_keys()) {
      kit.*(key.member) = value_of(key);
    }
    kit.support_positions_m = positions();
    kit.truing = truing();
    if (const KitFault fault = find_fault(kit); !fault.key.empty()) {
      throw InputError(place_text(file_, key_source(fault.key)) + fault.text);
    }
    return kit;
  }

 private:
  bool has(const std::string& table, const std::string& name) const {
    const toml::table* found = root_[table].as_table();
    return found != nullptr && found->contains(name);
  }

  double value_of(const KitKey& key) const {
    const std::string name = key.name;
    if (name == kStiffnessKey && !has(key.table, name)) {
      return section_stiffness();
    }
    if (name == "reach_max_mm" && !has(key.table, name) && has(key.table, kLengthBelowKey)) {
      return (number("supports", "thickness_mm") + number(key.table, kLengthBelowKey)) * key.unit;
    }
    if (!key.required && !has(key.table, name)) {
      return 0;
    }
    return number(key.table, name) * key.unit;
  }

  Kit::Truing truing() const {
    if (!root_.contains("truing")) {
      return Kit::Truing::none;
    }
    const auto method = root_["truing"]["method"].value<std::string>();
    if (method == "string") {
      return Kit::Truing::string;
    }
    if (method == "straightedge") {
      return Kit::Truing::straightedge;
    }
    throw InputError(place_text(file_, key_source("truing.method")) +
                     "truing.method must be \"string\" or \"straightedge\"");
  }

  static toml::table parse(std::string_view text, const std::filesystem::path& file) {
    try {
      return toml::parse(text, file.string());
    } catch (const toml::parse_error& error) {
      throw InputError(place_text(file, error.source()) +
                       "not valid TOML: " + std::string(error.description()));
    }
  }

  const toml::table& table_at(const std::string& name) const {
    const toml::table* table = root_[name].as_table();
    if (table == nullptr) {
      throw InputError(place_text(file_, root_.source()) + "the table [" + name + "] is missing");
    }
    return *table;
  }

  /// Refuses unknown keys: a key with a slip in its name would otherwise be a value silently not given.
  void check_names(const toml::table& table, const std::string& table_name) const {
    const std::vector<std::string> known = known_keys(table_name);
    for (const auto& [key, node] : table) {
      const std::string name(key.str());
      if (std::find(known.begin(), known.end(), name) != known.end()) {
        continue;
      }
      const std::string prefix = table_name.empty() ? "" : table_name + ".";
      const auto nearest = std::min_element(known.begin(), known.end(), [&](const auto& a, const auto& b) {
        return edit_distance(name, a) < edit_distance(name, b);
      });
      std::string text = place_text(file_, key.source());
      text.append("unknown key ").append(prefix).append(name);
      text.append("; did you mean ").append(prefix).append(*nearest).append("?");
      throw InputError(text);
    }
  }

  double number(const std::string& table, const std::string& name) const {
    const toml::node* node = table_at(table).get(name);
    if (node == nullptr) {
      throw InputError(place_text(file_, table_at(table).source()) + "the key " + table + "." + name +
                       " is missing");
    }
    return number_of(*node, table + "." + name);
  }

  double number_of(const toml::node& node, const std::string& key) const {
    const auto value = node.value<double>();
    if (!value || !(node.is_floating_point() || node.is_integer())) {
      throw InputError(place_text(file_, node.source()) + key + " must be a number");
    }
    return *value;
  }

  std::vector<double> positions() const {
    const std::string key = "supports.positions_mm";
    const toml::node* node = table_at("supports").get("positions_mm");
    if (node == nullptr || !node->is_array()) {
      throw InputError(place_text(file_, table_at("supports").source()) + key +
                       " must be given as a list of numbers, as in [100, 700, 1300]");
    }
    std::vector<double> positions_m;
    for (const toml::node& entry : *node->as_array()) {
      positions_m.push_back(number_of(entry, key) * kMm);
    }
    return positions_m;
  }

  /// EI of the rail from its section, N m2.
  double section_stiffness() const {
    Section section;
    for (const SectionKey& key : kSectionKeys) {
      if (!table_at("rail").contains(key.name)) {
        throw InputError(place_text(file_, table_at("rail").source()) +
                         "the rail's stiffness is missing: give rail.ei_n_m2, or rail.section_width_mm, "
                         "rail.section_height_mm, rail.section_wall_mm and rail.modulus_gpa");
      }
      section.*(key.member) = number("rail", key.name);
      if (!(section.*(key.member) > 0)) {
        throw InputError(place_text(file_, key_source(std::string("rail.") + key.name)) + "rail." + key.name +
                         " is " + number_text(section.*(key.member)) + ", but must be positive");
      }
    }
    if (!(2 * section.wall_mm < std::min(section.width_mm, section.height_mm))) {
      throw InputError(place_text(file_, key_source("rail.section_wall_mm")) + "rail.section_wall_mm is " +
                       number_text(section.wall_mm) +
                       ", but must be less than half of the section's width and height");
    }
    return section.modulus_gpa * kPascalsAGigapascal *
           hollow_section_inertia_m4(section.width_mm * kMm, section.height_mm * kMm, section.wall_mm * kMm);
  }

  /// Where "table.name" stands in the file.
  toml::source_region key_source(const std::string& key) const {
    const std::size_t dot = key.find('.');
    const toml::table* table = root_[key.substr(0, dot)].as_table();
    if (table == nullptr) {
      return root_.source();
    }
    const toml::node* node = table->get(key.substr(dot + 1));
    return node != nullptr ? node->source() : table->source();
  }

  std::filesystem::path file_;
  toml::table root_;
};

}  // namespace

Kit parse_kit(std::string_view text, const std::filesystem::path& name) {
  return KitFile(text, name).read();
}

Kit read_kit(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream || std::filesystem::is_directory(file)) {
    throw InputError("kit file " + file.string() + " cannot be opened; check its name and place");
  }
  std::ostringstream text;
  text << stream.rdbuf();
  return parse_kit(text.view(), file);
}

}  // namespace flitchwise::solver
