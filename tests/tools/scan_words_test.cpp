#include "tools/report/scan_words.hpp"

#include <catch2/catch.hpp>
#include <utility>

#include "tools/report/ask.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {
namespace {

using Catch::Matchers::Contains;
using scan::FileFormat;
using scan::ScanFact;

constexpr Units kMm = Units::millimetres;
constexpr Units kInches = Units::inches;

/// One of each kind.
template <typename Variant, std::size_t... I>
std::vector<Fact> all_kinds(std::index_sequence<I...> /*kinds*/) {
  return {Fact(Variant(std::in_place_index<I>))...};
}

std::vector<Fact> all_scan_facts() {
  return all_kinds<ScanFact>(std::make_index_sequence<std::variant_size_v<ScanFact>>());
}

std::string mm_words(const ScanFact& fact) {
  return words(fact, kMm);
}

std::string inch_words(const ScanFact& fact) {
  return words(fact, kInches);
}

TEST_CASE("every fact of a scan is a sentence in either unit, without any option's name", "[words]") {
  for (const Fact& fact : all_scan_facts()) {
    for (const Units units : {kMm, kInches}) {
      const std::string text = words(fact, units);
      CAPTURE(text);
      CHECK(text.ends_with('.'));
      CHECK(text.size() > 30);
      CHECK(text.find("--") == std::string::npos);
    }
    CHECK(words(fact, kInches).find("0 mm") == std::string::npos);
  }
}

TEST_CASE("lengths are told in the unit that is asked for", "[words]") {
  const scan::BarkNotGiven bark{0.014, 0.003, {BarkSource::Kind::ends, 0, {}, {}}};
  CHECK(mm_words(bark) ==
        "The bark thickness is read off the scan: 14 mm, give or take 6 mm (measured at the ends in the "
        "scan); measure it at both ends and give it to gain boards.");
  CHECK_THAT(inch_words(bark), Contains("9/16 in, give or take 1/4 in"));
  const scan::ScaleUnchecked scale{2.6};
  CHECK_THAT(mm_words(scale), Contains("came out 2600 mm long"));
  CHECK_THAT(inch_words(scale), Contains("came out 102 3/8 in long"));
  CHECK_THAT(inch_words(scan::CoarseScan{0.0004}), Contains("scatter by less than 1/16 in."));
  const scan::NoLog none{0.8, 0.08, 1.6};
  CHECK_THAT(mm_words(none), Contains("at least 0.8 m long and between 0.08 and 1.6 m thick"));
  CHECK_THAT(inch_words(none), Contains("at least 2.6 ft long and between 0.3 and 5.2 ft thick"));
  const scan::CutBack cut{scan::Flaw::fork, 2.04, false};
  CHECK_THAT(mm_words(cut), Contains("The log forks 2.0 m from the large end;"));
  CHECK_THAT(inch_words(cut), Contains("The log forks 6.7 ft from the large end;"));
}

TEST_CASE("sizes that may be off by powers of ten are told roughly", "[words]") {
  const auto wide = [](double width_m) { return mm_words(scan::SceneOfOtherSize{width_m}); };
  CHECK_THAT(wide(5000), Contains("would be 5000 m wide") && Contains("another unit?"));
  CHECK_THAT(wide(0.5), Contains("would be 500 mm wide"));
  CHECK_THAT(wide(5e-6), Contains("would be less than 1 mm wide"));
  CHECK_THAT(wide(5e30), Contains("would be over 100 km wide"));
  CHECK_THAT(mm_words(scan::LogOfOtherUnit{0.023, 0.217, 0.3048}),
             Contains("would be 23 mm thick and 217 mm long. Is the file in feet (ft)?"));
  CHECK_THAT(mm_words(scan::LogOfOtherUnit{0.04, 0.3, 0}), Contains("Is that its scale?"));
}

TEST_CASE("a seam is told by its place, and by what it means for the plan", "[words]") {
  const scan::Seam large{scan::Seam::Kind::doubled, 0.4, 2.6, 0.05, 1, 0.032};
  CHECK_THAT(mm_words(large), Contains("On the left side between 0.4 and 2.6 m from the small end the bark "
                                       "shows twice, 32 mm apart, so it is not known"));
  const scan::Seam small{scan::Seam::Kind::step, 0.4, 0.8, 0.9, 0, 0.009};
  CHECK_THAT(mm_words(small), Contains("On the upper left side between") && Contains("a step of 9 mm") &&
                                  Contains("The plan follows the surface between"));
  CHECK_THAT(mm_words(scan::Seam{scan::Seam::Kind::step, 0, 1, -1.6, 0, 0.01}), Contains("Underneath"));
  CHECK_THAT(mm_words(scan::Seam{scan::Seam::Kind::step, 0, 1, 6.2, 0, 0.01}), Contains("On the left side"));
}

TEST_CASE("scans that do not fit are named as they were given, or by their number", "[words]") {
  const scan::ScanUnlike unlike{1, scan::BestPlace{0.4, 0.15, 0.9, 0.96, 0.0071, 0.006, {}}};
  CHECK_THAT(mm_words(unlike), Contains("Of the scans given, scan 2 does not fit the others: at the best "
                                        "place found both show 40 % of the log, and of that 90 % lies on one "
                                        "surface, give or take 7 mm (wanted: 15 %, 96 % and 6 mm)"));
  CHECK_THAT(words(ScanFact(unlike), kMm, {"a.ply", "b.ply"}), Contains("given, b.ply does not fit"));
  CHECK_THAT(mm_words(scan::ScanOtherSize{1, 999.87}), Contains("is 999.87 times as large"));
  CHECK_THAT(mm_words(scan::ScanScaled{1, 1.01234567}), Contains("have to be 1.0123 times as large"));
  CHECK(mm_words(scan::ScansMerged{2, 0.0002, 0.42}) ==
        "2 scans merged; they agree within 1 mm over 42 % of the log's surface.");
}

TEST_CASE("the point of another log has as many digits as tell it from the first", "[words]") {
  const scan::RivalLog metres{3, 0.3, {1.2, -3.449, 0.3}, 1};
  CHECK_THAT(mm_words(metres), Contains("3000 mm long, 300 mm thick") && Contains("at 1.20,-3.45,0.30 in"));
  const scan::RivalLog millimetres{3, 0.3, {1200, -3449, 300}, 0.001};
  CHECK_THAT(mm_words(millimetres), Contains("at 1200,-3449,300 in"));
}

TEST_CASE("formats and sources read as they always did", "[words]") {
  using Kind = FileFormat::Kind;
  using Coding = FileFormat::Coding;
  CHECK(words(FileFormat{Kind::ply, Coding::little_endian}) == "PLY, binary little endian");
  CHECK(words(FileFormat{Kind::pcd, Coding::compressed}) == "PCD, binary compressed");
  CHECK(words(FileFormat{Kind::las, Coding::plain, "1.4"}) == "LAS 1.4");
  CHECK(words(FileFormat{Kind::e57, Coding::plain, "", 0, 2}) == "E57, 2 scans");
  CHECK(words(FileFormat{Kind::gltf, Coding::binary, "", 5952}) == "glTF, binary, mesh of 5,952 triangles");
  CHECK(words(FileFormat{Kind::obj}) == "OBJ, points");
  CHECK(words(FileFormat{Kind::depth_images, Coding::plain, "", 0, 12, 3}) ==
        "12 depth images (3 more have no pose)");
  CHECK(words(FileFormat{}).empty());
  CHECK(words(scan::UpSource{scan::UpSource::Kind::file_format, "+y", Kind::gltf}) ==
        "the file, as glTF has y up: +y axis");
  CHECK(words(scan::ScaleSource{scan::ScaleSource::Kind::points, Kind::unknown, 2.21}, kMm) ==
        "two points 2210 mm apart");
  CHECK(words(BarkSource{BarkSource::Kind::equations, 3, "Larch, western", "A 1991"}) ==
        "Larch, western: A 1991 and 2 more, averaged");
  CHECK(words(DensitySource{"", 40}) == "assumed: mean over 40 species, green");
  CHECK_THAT(words(ShrinkageSource{"Locust, black", ShrinkageSource::Read::from_memory}),
             Contains("Table 4-3, Locust, black (figure from memory"));
}

TEST_CASE("a green size is told with its reasons", "[words]") {
  const GreenSize size{0.045, 0.145, 18, 0.054, 0.158, 0.0364, {"Larch, western", {}}, 0.004, 0.003};
  CHECK_THAT(words(Fact(size), kMm),
             Contains("To be 45 x 145 mm when dry (18 % moisture) and planed, a board is sawn green at 54 x "
                      "158 mm: it shrinks by 3.64 % across the grain (") &&
                 Contains("planing takes 4 mm and the saw may be off by 3 mm"));
  CHECK_THAT(words(Fact(size), kInches), Contains("1 3/4 x 5 11/16 in when dry"));
}

TEST_CASE("what a fact asks for is typed", "[words]") {
  CHECK(asks_of(scan::ScaleUnchecked{}) == std::vector{Ask::scale_length});
  CHECK(asks_of(scan::SceneOfOtherSize{}) == std::vector{Ask::unit, Ask::scale_length});
  CHECK(asks_of(scan::EndNotSeen{}) == std::vector{Ask::scan_again, Ask::allow_unseen_ends});
  CHECK(asks_of(scan::PointsSkipped{}).empty());
  CHECK(asks_of(Told{}).empty());
  const Fact fact = scan::ScaleUnchecked{2.6};
  const auto tape = [](const Fact&) { return "--tape"; };
  CHECK(with_hint("Give the length.", fact, tape) == "Give the length (--tape).");
  CHECK(with_hint("Give the length", fact, tape) == "Give the length (--tape)");
  CHECK(with_hint("Give the length.", fact, {}) == "Give the length.");
}

}  // namespace
}  // namespace flitchwise::report
