// `flitchwise yard` as a person runs it, on a few short simulated logs. tests/benchmarks/yard_acceptance.sh
// does the same on 60.
#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>
#include <thread>

#include "solver/allocate/order_file.hpp"
#include "tests/tools/run_flitchwise.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::testing {
namespace {

namespace fs = std::filesystem;
using Catch::Matchers::Contains;

const std::string kOrder =
    "target,quantity,value,priority,due,on_hand\n"
    "50x150x1200,5,3,1,2027-05-14,1\n"
    "25x100x1200,400,1,2,2027-05-28,0\n";

void make_log(const std::string& file, int seed) {
  REQUIRE(run_flitchwise({"simulate", file, "--seed", std::to_string(seed), "--length-mm", "1450",
                          "--small-end-mm", "230", "--large-end-mm", "250", "--spacing-mm", "15", "--scanner",
                          "photo"})
              .exit_code == 0);
}

/// Two logs, one of them twice, a broken file and bare ground of which no log can come.
struct Yard {
  Folder folder;
  Yard() {
    fs::create_directories(folder / "yard/sub");
    make_log(folder / "yard/a.ply", 1);
    make_log(folder / "yard/sub/b.ply", 2);
    fs::copy_file(folder / "yard/a.ply", folder / "yard/c.ply");
    folder.write("yard/broken.ply", "ply\nformat ascii 1.0\nelement vertex 9\n");
    std::string ground;
    for (int i = 0; i < 4000; ++i) {
      ground += std::to_string(0.02 * (i % 80)) + " " + std::to_string(0.02 * (i / 80)) + " 0\n";
    }
    folder.write("yard/ground.xyz", ground);
    folder.write("yard/logs.csv", "file,species,bark_mm\na.ply,larch,10\nsub/b.ply,spruce,8\n");
    folder.write("order.csv", kOrder);
  }

  std::vector<std::string> words(const std::string& out, const std::vector<std::string>& more = {}) const {
    std::vector<std::string> words = {"yard",       folder / "yard", "--order", folder / "order.csv", "--out",
                                      folder / out, "--plans",       "4",       "--effort",           "40"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  }

  Run run(const std::string& out, const std::vector<std::string>& more = {}) const {
    return run_flitchwise(words(out, more));
  }

  /// All that must be the same, whatever the run.
  std::map<std::string, std::string> results(const std::string& out) const {
    auto files = files_below(folder / out);
    for (const char* own : {"yard.sqlite", "yard.lock", "effort.csv"}) {
      files.erase(own);
    }
    std::erase_if(files, [](const auto& file) { return file.first.starts_with("parts"); });
    return files;
  }
};

using Files = std::map<std::string, std::string>;

/// Names of those that are not the same in both.
std::string differing(const Files& a, const Files& b) {
  std::string names;
  for (const auto& [name, bytes] : a) {
    const auto other = b.find(name);
    names += other == b.end() || other->second != bytes ? name + "; " : "";
  }
  for (const auto& [name, bytes] : b) {
    names += a.contains(name) ? "" : name + "; ";
  }
  return names;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    lines.push_back(line);
  }
  return lines;
}

bool soon(const std::function<bool()>& holds) {
  constexpr int kLooks = 1200;  // half a minute
  for (int i = 0; i < kLooks && !holds(); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(25));
  }
  return holds();
}

void check_tables(const Yard& yard, const Run& run) {
  INFO(run.trouble);
  REQUIRE(run.exit_code == 0);
  const auto lines = lines_of(content(yard.folder / "one/yard.csv"));
  REQUIRE(lines.size() == 6);
  CHECK_THAT(lines[1], Contains("a.ply,a.ply,saw,"));
  CHECK_THAT(lines[2], Contains("broken.ply,broken.ply,cannot be read,"));
  CHECK_THAT(lines[3], Contains("c.ply,c.ply,same scan,") && Contains("the same scan as a.ply"));
  CHECK_THAT(lines[4], Contains("ground.xyz,ground.xyz,scan will not do,"));
  CHECK_THAT(lines[5], Contains("sub/b.ply,sub/b.ply,saw,"));
  CHECK_THAT(run.out, Contains("Short: ") && Contains("25x100x1200") && Contains("yard.html"));
  // The page holds its data as JSON and needs nothing else.
  const std::string page = content(yard.folder / "one/yard.html");
  const std::string start = "<script type=\"application/json\" id=\"data\">";
  const std::size_t from = page.find(start) + start.size();
  const auto data = nlohmann::json::parse(page.substr(from, page.find("</script>", from) - from));
  CHECK(data["logs"].size() == 5);
  CHECK(page.find("src=") == std::string::npos);
  int made = 0;
  for (const auto& log : data["logs"]) {
    for (const auto& link : log.value("links", nlohmann::json::array())) {
      CHECK(fs::exists(yard.folder / "one/" + link["to"].get<std::string>()));
    }
    made += log.contains("boards") ? log["boards"][0].get<int>() : 0;
  }
  // Tables, page and plans agree on the boards.
  CHECK(data["lines"][0]["made"] == made);
  const auto plan = nlohmann::json::parse(content(yard.folder / "one/plans/a.ply/plan.json"));
  CHECK(plan["boards"].size() > 0);
  CHECK(plan["scan"]["file"] == "a.ply");
}

void run_again_plans_nothing(const Yard& yard) {
  const auto before = yard.results("one");
  const Run again = yard.run("one");
  CHECK(again.exit_code == 0);
  CHECK(again.progress.find("logs planned") == std::string::npos);
  CHECK(differing(yard.results("one"), before) == "");
}

TEST_CASE("a yard comes out the same however it is planned", "[yard-run]") {
  const Yard yard;
  check_tables(yard, yard.run("one", {"--jobs", "1"}));
  const auto expected = yard.results("one");
  run_again_plans_nothing(yard);

  CHECK(yard.run("two", {"--jobs", "2"}).exit_code == 0);
  CHECK(differing(yard.results("two"), expected) == "");

  const std::string parts = yard.folder / "parts";
  for (const std::string part : {"1", "2"}) {
    const Run run = yard.run("parts" + part, {"--shard", part + "/2"});
    CHECK(run.exit_code == 0);
    CHECK_THAT(run.out, Contains("Part " + part + " of 2"));
  }
  const Run merged = yard.run("merged", {"--merge", yard.folder / "parts1/yard.sqlite", "--merge",
                                         yard.folder / "parts2/yard.sqlite"});
  CHECK(merged.progress.find("logs planned") == std::string::npos);
  CHECK(differing(yard.results("merged"), expected) == "");

  // A program's own call, without any worker.
  yard::YardRequest request;
  request.folder = yard.folder / "yard";
  request.order = solver::read_order(yard.folder / "order.csv");
  request.search.most_nodes = 40;
  request.most_plans = 4;
  request.out = yard.folder / "library";
  const yard::YardResult result = yard::plan_yard(request);
  CHECK(result.finished);
  CHECK(result.planned_now == 4);
  // Cairo counts the names within an SVG file on from one file to the next of a process.
  const auto is_svg = [](const auto& file) { return file.first.ends_with("plan.svg"); };
  Files in_process = yard.results("library");
  Files in_workers = expected;
  CHECK(std::erase_if(in_process, is_svg) == std::erase_if(in_workers, is_svg));
  CHECK(differing(in_process, in_workers) == "");

  constexpr unsigned kSeed = 7;
  std::mt19937 random(kSeed);
  for (int i = 0; i < 4; ++i) {
    Background run(yard.words("killed", {"--jobs", "2"}));
    std::this_thread::sleep_for(std::chrono::milliseconds(50 + random() % 700));
    run.end(SIGKILL);
  }
  CHECK(yard.run("killed").exit_code == 0);
  CHECK(differing(yard.results("killed"), expected) == "");
}

TEST_CASE("Ctrl-C ends a yard with a sentence on how to go on", "[yard-run]") {
  const Yard yard;
  Background run(yard.words("out"));
  REQUIRE(soon([&] { return fs::exists(yard.folder / "out/yard.sqlite"); }));
  const Run ended = run.end(SIGINT);
  CHECK(ended.exit_code == 130);
  CHECK_THAT(ended.trouble, Contains("stopped with") && Contains("run the same command again"));
  CHECK(!fs::exists(yard.folder / "out/yard.csv"));
}

TEST_CASE("a watched yard plans what arrives, once it is complete", "[yard-run]") {
  const Folder folder;
  fs::create_directories(folder / "yard");
  folder.write("order.csv", "target,quantity\n50x150x1200,2\n");
  make_log(folder / "log.ply", 1);
  const std::string bytes = content(folder / "log.ply");
  Background run({"yard", folder / "yard", "--order", folder / "order.csv", "--out", folder / "out",
                  "--watch", "--settle", "1", "--plans", "1", "--effort", "20"});
  const std::string table = folder / "out/yard.csv";
  REQUIRE(soon([&] { return lines_of(content(table)).size() == 1; }));  // empty as yet
  folder.write("yard/log.ply", bytes.substr(0, bytes.size() / 2));
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  folder.write("yard/log.ply", bytes);
  CHECK(soon([&] { return content(table).find("log.ply,saw,") != std::string::npos; }));
  folder.write("order.csv", "target,quantity,on_hand\n50x150x1200,2,2\n");
  CHECK(soon([&] { return content(table).find("log.ply,keep,") != std::string::npos; }));
  CHECK(!fs::exists(folder / "out/plans/log.ply"));
  const Run ended = run.end(SIGINT);
  CHECK(ended.exit_code == 0);
  CHECK_THAT(ended.trouble, Contains("stopped watching"));
}

TEST_CASE("trouble with a yard is one sentence", "[yard-run]") {
  const Folder folder;
  fs::create_directories(folder / "empty");
  fs::create_directories(folder / "yard");
  folder.write("yard/a.xyz", "0 0 0\n1 1 1\n2 2 2\n");
  const std::string order = folder.write("order.csv", kOrder);
  const auto fails = [&](int exit_code, const std::string& reason, std::vector<std::string> words) {
    words.insert(words.begin(), "yard");
    if (std::find(words.begin(), words.end(), "--out") == words.end()) {
      words.insert(words.end(), {"--out", folder / "out"});
    }
    const Run run = run_flitchwise(words);
    CHECK(not_one_sentence(run, exit_code).empty());
    CHECK_THAT(run.trouble, Contains(reason));
  };
  const std::string yard = folder / "yard";
  fails(1, "--order is required", {yard});
  fails(2, "nowhere.csv", {yard, "--order", folder / "nowhere.csv"});
  fails(2, "line 2", {yard, "--order", folder.write("bad.csv", "target,quantity\n50x150x1200,-4\n")});
  fails(2, "does not exist", {folder / "nowhere", "--order", order});
  fails(2, "no scan in", {folder / "empty", "--order", order});
  fails(2, "is no folder", {order, "--order", order});
  fails(1, "--shard is '5/4'", {yard, "--order", order, "--shard", "5/4"});
  fails(1, "--shard is 'x'", {yard, "--order", order, "--shard", "x"});
  fails(1, "--jobs is 0", {yard, "--order", order, "--jobs", "0"});
  fails(1, "--watch and --shard", {yard, "--order", order, "--watch", "--shard", "1/2"});
  fails(1, "--settle is 0", {yard, "--order", order, "--watch", "--settle", "0"});
  fails(1, "--pattern is 'round'", {yard, "--order", order, "--pattern", "round"});
  fails(2, "kit", {yard, "--order", order, "--kit", folder / "kit.toml"});
  fails(2, "is no file", {yard, "--order", order, "--merge", folder / "nowhere.sqlite"});
  fails(2, "cannot be made a folder", {yard, "--order", order, "--out", folder / "order.csv"});
  fs::create_directories(folder / "old");
  folder.write("old/yard.sqlite", "no database, but a letter of some length to somebody\n");
  fails(2, "no store of a yard", {yard, "--order", order, "--out", folder / "old"});
  const yard::FolderLock lock(folder / "busy");
  fails(1, "another run is at work", {yard, "--order", order, "--out", folder / "busy"});
}

}  // namespace
}  // namespace flitchwise::testing
