#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "scan/model/errors.hpp"
#include "solver/setup/kit_file.hpp"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using flitchwise::InputError;
using namespace flitchwise::solver;

namespace {

constexpr double kRounding = 1e-12;

std::string sample_text() {
  std::ifstream file(std::filesystem::path(FLITCHWISE_SAMPLES) / "kit.toml");
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::string replaced(std::string text, const std::string& old, const std::string& with) {
  const std::size_t at = text.find(old);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old.size(), with);
}

/// A file that is gone when the test ends; its name is the process's own, for tests run side by side.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::string& text)
      : path_(std::filesystem::temp_directory_path() /
              ("flitchwise_kit_test_" + std::to_string(getpid()) + ".toml")) {
    std::ofstream(path_) << text;
  }
  ~TemporaryFile() { std::filesystem::remove(path_); }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  TemporaryFile(TemporaryFile&&) = delete;
  TemporaryFile& operator=(TemporaryFile&&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string error_of(const std::string& text) {
  const TemporaryFile file(text);
  try {
    read_kit(file.path());
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

/// 1-based number of the line that starts with `start`.
std::string line_text(const std::string& text, const std::string& start) {
  std::istringstream lines(text);
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    if (line.rfind(start, 0) == 0) {
      return "line " + std::to_string(number) + ":";
    }
  }
  return "no such line";
}

}  // namespace

TEST_CASE("The sample kits are read as they are written") {
  const Kit kit = read_kit(std::filesystem::path(FLITCHWISE_SAMPLES) / "kit.toml");
  CHECK(kit.name == "short rail, moved along the log");
  CHECK_THAT(kit.rail_length_m, WithinAbs(2.4, kRounding));
  CHECK_THAT(kit.least_overlap_m, WithinAbs(0.6, kRounding));
  REQUIRE(kit.support_positions_m.size() == 5);
  CHECK_THAT(kit.support_positions_m[1], WithinAbs(0.65, kRounding));
  CHECK_THAT(kit.screw_reach_max_m, WithinAbs(0.12, kRounding));
  CHECK_THAT(kit.saw_depth_max_m, WithinAbs(0.33, kRounding));
  CHECK_THAT(kit.saw_weight_kg, WithinAbs(12, kRounding));
  CHECK_THAT(kit.kerf_m, WithinAbs(0.009, kRounding));
  // 68.9 GPa x (180 x 50^3 - 174 x 44^3) / 12 mm4
  CHECK_THAT(kit.rail_ei_n_m2, WithinRel(68.9e9 * (180 * 125000.0 - 174 * 85184.0) / 12 * 1e-12, kRounding));
  const Kit long_rail = read_kit(std::filesystem::path(FLITCHWISE_SAMPLES) / "kit-long-rail.toml");
  CHECK_THAT(long_rail.rail_ei_n_m2, WithinAbs(180000, 1e-6));
  CHECK(find_error(long_rail).empty());
  CHECK_THAT(long_rail.support_thickness_m, WithinAbs(0.02, kRounding));
  CHECK_THAT(long_rail.screw_reach_max_m, WithinAbs(0.15, kRounding));  // 20 of the support + 130 below it
  CHECK_THAT(long_rail.wood_screw_bite_m, WithinAbs(0.03, kRounding));
  CHECK_THAT(long_rail.bracket_width_m, WithinAbs(0.3, kRounding));
  CHECK(long_rail.truing == Kit::Truing::string);
  CHECK_THAT(long_rail.string_height_m, WithinAbs(0.045, kRounding));
  CHECK_THAT(long_rail.string_kg_m, WithinAbs(0.0012, kRounding));
  CHECK(kit.truing == Kit::Truing::straightedge);
}

TEST_CASE("What only some kits have may be left out, but not by half") {
  const std::string truing =
      "[truing]\nmethod = \"straightedge\"\ngauge_mm = 1         # must not go under the straightedge "
      "anywhere\n";
  const TemporaryFile bare(replaced(sample_text(), truing, ""));
  const Kit kit = read_kit(bare.path());
  CHECK(kit.truing == Kit::Truing::none);
  CHECK(kit.bracket_width_m == 0);
  CHECK_THAT(error_of(replaced(sample_text(), "\"straightedge\"\n", "\"laser\"\n")),
             Contains("truing.method must be \"string\" or \"straightedge\""));
  CHECK_THAT(error_of(replaced(sample_text(), "\"straightedge\"\n", "\"string\"\n")),
             Contains("truing.height_mm is missing or 0"));
  CHECK_THAT(
      error_of(replaced(sample_text(), "\"straightedge\"\n", "\"string\"\nheight_mm = 40\nweight_g_m = 1\n")),
      Contains("truing.tension_n is missing or 0"));
  const std::string thick =
      replaced(sample_text(), "\"straightedge\"\ngauge_mm = 1 ", "\"string\"\nheight_mm = 40\ngauge_mm = 50");
  CHECK_THAT(error_of(thick), Contains("truing.gauge_mm is 50") && Contains(line_text(thick, "gauge_mm")));
  CHECK_THAT(error_of(sample_text() + "\n[brackets]\nwidth_mm = 300\n"),
             Contains("brackets.height_mm is missing or 0"));
  CHECK_THAT(error_of(sample_text() + "\n[brackets]\nwidht_mm = 300\n"),
             Contains("unknown key brackets.widht_mm; did you mean brackets.width_mm?"));
}

TEST_CASE("The built-in kit is consistent") {
  CHECK(find_error(plain_kit()).empty());
  CHECK(plain_kit().name.empty());  // tools/report names it
}

TEST_CASE("A slip in a key is an error that names file, line and the nearest key") {
  const std::string text = replaced(sample_text(), "reach_max_mm", "reach_mx_mm");
  const std::string error = error_of(text);
  CHECK_THAT(error, Contains("flitchwise_kit_test_"));
  CHECK_THAT(error, Contains(line_text(text, "reach_mx_mm")));
  CHECK_THAT(error, Contains("unknown key screws.reach_mx_mm; did you mean screws.reach_max_mm?"));
  CHECK_THAT(error_of(replaced(sample_text(), "[saw]", "[sow]")), Contains("sow; did you mean saw?"));
  CHECK_THAT(error_of(sample_text() + "\n[rails]\n"), Contains("rails; did you mean rail?"));
}

TEST_CASE("A missing, ill-typed or ill-placed value is named") {
  CHECK_THAT(error_of(replaced(sample_text(), "depth_max_mm = 330", "")),
             Contains("the key saw.depth_max_mm is missing"));
  const std::string wordy = replaced(sample_text(), "bite_mm = 10", "bite_mm = \"ten\"");
  CHECK_THAT(error_of(wordy),
             Contains("screws.bite_mm must be a number") && Contains(line_text(wordy, "bite_mm")));
  CHECK_THAT(error_of(replaced(sample_text(), "[100, 650, 1200, 1750, 2300]", "600")),
             Contains("supports.positions_mm must be given as a list"));
  CHECK_THAT(error_of(replaced(sample_text(), "modulus_gpa = 68.9", "")),
             Contains("the rail's stiffness is missing"));
  CHECK_THAT(error_of(replaced(sample_text(), "section_wall_mm = 3", "section_wall_mm = 25")),
             Contains("rail.section_wall_mm is 25"));
  CHECK_THAT(error_of("name = [1\n"), Contains("not valid TOML"));
  CHECK_THAT(error_of(""), Contains("the table [rail] is missing"));
  CHECK_THROWS_AS(read_kit("/no/such/kit.toml"), InputError);
  CHECK_THROWS_AS(read_kit(std::filesystem::temp_directory_path()), InputError);
}

TEST_CASE("Values out of range and in the wrong order name key, value, constraint and line") {
  const std::string reach = replaced(sample_text(), "reach_max_mm = 120", "reach_max_mm = 15");
  CHECK_THAT(error_of(reach), Contains(line_text(reach, "reach_max_mm")) &&
                                  Contains("screws.reach_max_mm is 15, but must exceed "
                                           "screws.reach_min_mm, 20"));
  CHECK_THAT(error_of(replaced(sample_text(), "length_mm = 2400", "length_mm = 2.4")),
             Contains("rail.length_mm is 2.4, but must lie between 300 and 20000"));
  CHECK_THAT(error_of(replaced(sample_text(), "2300]", "2500]")),
             Contains("supports.positions_mm holds 2500, but a support must lie on the rail"));
  CHECK_THAT(error_of(replaced(sample_text(), "1200, 1750", "1750, 1200")),
             Contains("supports.positions_mm holds 1200 after 1750, but must ascend"));
  CHECK_THAT(error_of(replaced(sample_text(), "least_overlap_mm = 600", "least_overlap_mm = 2400")),
             Contains("rail.length_mm is 2400, but must exceed rail.least_overlap_mm, 2400"));
  CHECK_THAT(error_of(replaced(sample_text(), "depth_max_mm = 330", "depth_max_mm = 45")),
             Contains("must exceed rail.height_mm, 50"));
  CHECK_THAT(error_of(replaced(sample_text(), "kerf_mm = 9", "kerf_mm = nan")),
             Contains("saw.kerf_mm is nan"));
}
