// The yard's bytes: of the store, between its processes and under its keys.
#include "tools/yard/archive.hpp"

#include <catch2/catch.hpp>
#include <set>
#include <variant>

#include "tests/support/leaves.hpp"
#include "tools/yard/keys.hpp"
#include "tools/yard/log_job.hpp"
#include "tools/yard/store.hpp"

namespace flitchwise::yard {
namespace {

using flitchwise::testing::change;
using flitchwise::testing::for_each_leaf;
using flitchwise::testing::grow;
using flitchwise::testing::leaves;

struct Bent {
  double sweep_m = 0;
};
FLITCHWISE_FIELDS(Bent, sweep_m)
struct Straight {};
struct Shape {
  std::variant<Straight, Bent> what;
};
FLITCHWISE_FIELDS(Shape, what)

/// With every list filled and every field other than it is by itself.
template <typename Value>
Value filled() {
  Value value;
  grow(value);
  for_each_leaf(value, "", [](const std::string& /*name*/, auto& leaf) { change(leaf); });
  return value;
}

/// Calls visit(name, value) with a copy for each field that is different in it.
template <typename Value, typename Visit>
void for_each_change(const Value& value, const Visit& visit) {
  for (std::size_t i = 0; i < leaves(value).size(); ++i) {
    Value other = value;
    std::string changed;
    std::size_t at = 0;
    for_each_leaf(other, "", [&](const std::string& name, auto& leaf) {
      if (at++ == i) {
        change(leaf);
        changed = name;
      }
    });
    visit(changed, other);
  }
}

TEMPLATE_TEST_CASE("what the yard keeps comes back whole", "[yard]", PlanJob, WriteJob, LogPlans, LogModels,
                   PlannedScan) {
  const auto value = filled<TestType>();
  const auto back = from_bytes<TestType>(bytes_of(value));
  CHECK(leaves(back) == leaves(value));
  CHECK(leaves(value) != leaves(TestType()));
  const auto empty = from_bytes<TestType>(bytes_of(TestType()));
  CHECK(leaves(empty) == leaves(TestType()));
}

TEMPLATE_TEST_CASE("no two values have the same bytes", "[yard]", PlanJob, LogPlans, LogModels) {
  const auto value = filled<TestType>();
  const std::string bytes = bytes_of(value);
  for_each_change(value, [&](const std::string& name, const TestType& other) {
    CAPTURE(name);
    CHECK(bytes_of(other) != bytes);
  });
}

TEST_CASE("the store's version is raised when what it keeps changes", "[yard]") {
  std::string names;
  for (const auto& [name, text] : leaves(filled<LogModels>())) {
    names += name + '\n';
  }
  for (const auto& [name, text] : leaves(filled<LogPlans>())) {
    names += name + '\n';
  }
  INFO("raise kStoreVersion in tools/yard/store.hpp, and put both new figures here");
  CHECK(kStoreVersion == 2);
  CHECK(hash_of(names) == "0deffd1de22fbc95b8df8873da06b0b9");
}

TEST_CASE("one of several kinds comes back as that kind", "[yard]") {
  const auto bent = from_bytes<Shape>(bytes_of(Shape{Bent{0.04}}));
  REQUIRE(std::holds_alternative<Bent>(bent.what));
  CHECK(std::get<Bent>(bent.what).sweep_m == 0.04);
  CHECK(std::holds_alternative<Straight>(from_bytes<Shape>(bytes_of(Shape())).what));
}

TEST_CASE("bytes that are cut short are no value", "[yard]") {
  const std::string bytes = bytes_of(filled<PlanJob>());
  CHECK_THROWS(from_bytes<PlanJob>(bytes.substr(0, bytes.size() - 1)));
}

TEST_CASE("all of a job counts for its key but names of files and threads", "[yard]") {
  const auto job = filled<PlanJob>();
  const std::string key = key_of(job, "content");
  std::set<std::string> without_influence;
  for_each_change(job, [&](const std::string& name, const PlanJob& other) {
    if (key_of(other, "content") == key) {
      without_influence.insert(name);
    }
  });
  CHECK(without_influence ==
        std::set<std::string>{"kit.name", "scan.files.bytes", "scan.files.path", "search.threads"});
  CHECK(key_of(job, "other content") != key);
}

}  // namespace
}  // namespace flitchwise::yard
