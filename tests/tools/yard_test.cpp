// Parts of the yard that need no log: settings, scans in a folder, wishes, keys, store, map.
#include "tools/yard/yard.hpp"

#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <thread>
#include <utility>

#include "scan/model/errors.hpp"
#include "solver/plan/board_size.hpp"
#include "tests/tools/run_flitchwise.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/yard/content_hash.hpp"
#include "tools/yard/find_scans.hpp"
#include "tools/yard/list_logs.hpp"
#include "tools/yard/map.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/tables.hpp"
#include "tools/yard/wishes.hpp"
#include "tools/yard/words.hpp"
#include "tools/yard/write_yard.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;
using Catch::Matchers::Contains;
using testing::Folder;

const std::string kPoints = "0 0 0\n0 1 0\n1 0 0\n1 1 1\n";

YardRequest request_in(const Folder& folder) {
  YardRequest request;
  request.folder = folder / "yard";
  request.out = folder / "out";
  request.order.lines = {{solver::board_size("50x150x2400"), 4, 0, 1, "", "", 0}};
  return request;
}

std::string folder_with_yard(const Folder& folder) {
  fs::create_directories(folder / "yard/sub");
  folder.write("yard/a.xyz", kPoints);
  folder.write("yard/sub/b.ply", "ply\n");
  return folder / "yard";
}

std::vector<std::string> names(const ListedLogs& listed) {
  std::vector<std::string> all;
  for (const ListedLog& log : listed.logs) {
    all.push_back(log.name);
  }
  return all;
}

TEST_CASE("scans are found by their content, and by an ending that means one", "[yard]") {
  const Folder folder;
  const fs::path yard = folder_with_yard(folder);
  folder.write("yard/no-ending", kPoints);
  folder.write("yard/broken.las", "");
  folder.write("yard/notes.txt", "the big larch lies by the brook\n");
  folder.write("yard/photo.jpg", "\xFF\xD8\xFF\xE0 ...");
  folder.write("yard/.hidden.xyz", kPoints);
  folder.write("yard/half.xyz.part", kPoints);
  fs::create_directories(yard / "frames/depth");
  folder.write("yard/frames/depth/1.png", "");
  fs::create_directories(yard / "result");
  folder.write("yard/result/plan.json", "{}");
  folder.write("yard/result/cuts.csv", "1,2,3\n4,5,6\n");
  fs::create_directories(yard / "out");
  folder.write("yard/out/c.xyz", kPoints);
  const auto found = find_scans(yard, {{yard / "out"}});
  CHECK(found == std::vector<fs::path>{yard / "a.xyz", yard / "broken.las", yard / "frames",
                                       yard / "no-ending", yard / "sub/b.ply"});
  CHECK_THROWS_WITH(find_scans(folder / "missing"), Contains("does not exist"));
  CHECK_THROWS_WITH(find_scans(folder / "yard/a.xyz"), Contains("is no folder"));
}

TEST_CASE("logs.csv says what is known of each scan", "[yard]") {
  const Folder folder;
  folder_with_yard(folder);
  YardRequest request = request_in(folder);
  request.scan.species = "larch";
  CHECK(names(list_logs(request)) == std::vector<std::string>{"a.xyz", "sub/b.ply"});

  folder.write("yard/logs.csv",
               "file;log;scale_length_mm;near;bark_mm;species;up\n"
               "sub/b.ply;north;4120;1.5 -2 0.25;;;y\n"
               "sub/b.ply;south;;4 -2 0.25;14;spruce;\n"
               "c.ply;;;;;;\n");
  const ListedLogs listed = list_logs(request);
  REQUIRE(names(listed) == std::vector<std::string>{"a.xyz", "north", "south"});
  const ScanRequest& north = listed.logs[1].scan;
  CHECK_THAT(north.scale_length_m.value_or(0), Catch::WithinAbs(4.12, 1e-12));
  CHECK(north.near_in_file == Eigen::Vector3d(1.5, -2, 0.25));
  CHECK(north.up == Eigen::Vector3d(0, 1, 0));
  CHECK(north.species == "larch");  // as for all
  CHECK(!listed.logs[2].scan.scale_length_m);
  CHECK(listed.logs[2].scan.species == "spruce");
  CHECK_THAT(listed.logs[2].scan.bark_m.value_or(0), Catch::WithinAbs(0.014, 1e-12));
  REQUIRE(listed.notes.size() == 1);
  CHECK_THAT(listed.notes[0], Contains("line 4") && Contains("c.ply"));

  folder.write("yard/logs.csv", "file,skip\na.xyz,yes\n");
  CHECK(names(list_logs(request)) == std::vector<std::string>{"sub/b.ply"});
}

TEST_CASE("trouble in logs.csv is told with its line", "[yard]") {
  const Folder folder;
  folder_with_yard(folder);
  const YardRequest request = request_in(folder);
  const auto wrong = [&](const std::string& table, const std::string& line, const std::string& reason) {
    folder.write("yard/logs.csv", table);
    CHECK_THROWS_WITH(list_logs(request), Contains(line) && Contains(reason));
    CHECK_THROWS_AS(list_logs(request), InputError);
  };
  wrong("file,colour\n", "line 1", "no column 'colour'");
  wrong("log\n", "line 1", "column file is missing");
  wrong("file,file\n", "line 1", "twice");
  wrong("file,bark_mm\na.xyz\n", "line 2", "fields");
  wrong("file,bark_mm\na.xyz,thick\n", "line 2", "no number");
  wrong("file,bark_mm\na.xyz,900\n", "line 2", "between");
  wrong("file,bark_mm\na.xyz,nan\n", "line 2", "no number");
  wrong("file,species\na.xyz,12\na.xyz,unobtainium\n", "line 2", "not in the table");
  wrong("file,near\na.xyz,1 2\n", "line 2", "three numbers");
  wrong("file,unit\na.xyz,furlong\n", "line 2", "unit");
  wrong("file,skip\na.xyz,maybe\n", "line 2", "yes, no");
  wrong("file,log\n,x\n", "line 2", "missing");
  wrong("file,log\na.xyz,same\nsub/b.ply,same\n", "logs.csv", "name of its own");
}

TEST_CASE("a scan is known by its bytes and not by its name", "[yard]") {
  const Folder folder;
  const std::string a = folder.write("a.xyz", kPoints);
  const std::string b = folder.write("b.xyz", kPoints);
  const std::string c = folder.write("c.xyz", kPoints + "2 2 2\n");
  const auto hash = [](const std::string& file) { return hash_of_scan(file, files_of_scan(file)); };
  CHECK(hash(a) == hash(b));
  CHECK(hash(a) != hash(c));
  // A mesh's picture is part of it.
  const std::string mesh = folder.write("m.obj", "v 0 0 0\nmtllib m.mtl\n");
  const std::string before = hash(mesh);
  folder.write("m.mtl", "newmtl bark\n");
  CHECK(hash(mesh) != before);
  CHECK(hash_of("a") != hash_of("b"));
  CHECK(hash_of("a").size() == 32);
}

TEST_CASE("a store keeps what was put, once, and takes over from others", "[yard]") {
  const Folder folder;
  PlannedScan planned;
  planned.plans.outcome = LogPlans::Outcome::planned;
  planned.plans.length_m = 3.5;
  planned.plans.candidates.push_back({"most value", {2, 3}, 7.5, 0.3, 1, 0.004, 0, "<svg/>", 0, {true}});
  planned.models = std::string("bytes\0with a zero", 17);
  {
    Store store(folder / "one.sqlite");
    CHECK(!store.holds("k"));
    store.put("k", planned);
    planned.plans.length_m = 9;
    store.put("k", planned);
    store.set_written("log", "stamp");
    store.set_written("gone", "stamp");
    store.set_written("gone", "");
  }
  Store store(folder / "one.sqlite");
  REQUIRE(store.plans("k"));
  CHECK(store.plans("k")->length_m == 3.5);
  CHECK(store.plans("k")->candidates.at(0).boards == std::vector<int>{2, 3});
  CHECK(store.models("k") == planned.models);
  CHECK(store.written("log") == "stamp");
  CHECK(store.logs_written() == std::vector<std::string>{"log"});

  Store other(folder / "two.sqlite");
  other.put("k", planned);
  CHECK(other.take_over(folder / "one.sqlite") == 0);
  CHECK(other.plans("k")->length_m == 9);
  Store third(folder / "three.sqlite");
  CHECK(third.take_over(folder / "one.sqlite") == 1);
  CHECK(third.take_over(folder / "two.sqlite") == 0);
  CHECK(third.plans("k")->length_m == 3.5);
  CHECK_THROWS_WITH(third.take_over(folder / "missing.sqlite"), Contains("is no file"));
}

/// One of each kind.
template <std::size_t... I>
std::vector<Fact> all_scan_facts(std::index_sequence<I...> /*kinds*/) {
  return {Fact(scan::ScanFact(std::in_place_index<I>))...};
}

TEST_CASE("facts of every kind come back from the store", "[yard]") {
  const Folder folder;
  PlannedScan planned;
  planned.plans.outcome = LogPlans::Outcome::unreadable;
  planned.plans.message = Unreadable{"holds only 3 points."};
  planned.plans.format = {scan::FileFormat::Kind::las, scan::FileFormat::Coding::plain, "1.4"};
  planned.plans.density_source = {"Larch, western", 0};
  planned.plans.warnings = all_scan_facts(std::make_index_sequence<std::variant_size_v<scan::ScanFact>>());
  planned.plans.warnings.emplace_back(scan::RivalLog{3.1, 0.3, {1, 2, 3}, 0.001});
  planned.plans.warnings.emplace_back(
      scan::ScanUnlike{1, scan::BestPlace{0.4, 0.15, 0.9, 0.96, 0.007, 0.006, 0.3}});
  planned.plans.warnings.emplace_back(GreenSize{0.045, 0.145, 18, 0.054, 0.158, 0.04, {}, 0.004, 0.003});
  Store(folder / "one.sqlite").put("k", planned);
  const LogPlans plans = Store(folder / "one.sqlite").plans("k").value();
  CHECK(plans.format == planned.plans.format);
  CHECK(plans.density_source == planned.plans.density_source);
  YardLog log;
  log.file = "a.las";
  log.plans = plans;
  CHECK(message_words(log) == "a.las holds only 3 points.");
  REQUIRE(plans.warnings.size() == planned.plans.warnings.size());
  for (std::size_t i = 0; i < plans.warnings.size(); ++i) {
    constexpr report::Units kMm = report::Units::millimetres;
    CHECK(report::words(plans.warnings[i], kMm) == report::words(planned.plans.warnings[i], kMm));
  }
}

TEST_CASE("what is no store is left alone", "[yard]") {
  const Folder folder;
  const std::string text =
      folder.write("text.sqlite", "this is a letter, and it is long enough to be looked at\n");
  CHECK_THROWS_WITH(Store(text), Contains("no store"));
  CHECK(testing::content(text).starts_with("this is a letter"));
  fs::create_directories(folder / "folder.sqlite");
  CHECK_THROWS_WITH(Store(folder / "folder.sqlite"), Contains("is a folder"));
  { const Store store(folder / "good.sqlite"); }
  std::string bytes = testing::content(folder / "good.sqlite");
  constexpr std::size_t kUserVersion =
      60 + 3;  // SQLite's file format, section 1.3: big endian, four bytes at 60
  bytes.at(kUserVersion) = 99;
  const std::string later = folder.write("later.sqlite", bytes);
  CHECK_THROWS_WITH(Store(later), Contains("another version") && Contains("store 99"));
  CHECK_THROWS_WITH(Store(folder / "good.sqlite").take_over(later), Contains("another version"));
}

TEST_CASE("two runs never work in one folder", "[yard]") {
  const Folder folder;
  {
    const FolderLock lock(folder / "out");
    CHECK_THROWS_WITH(FolderLock(folder / "out"), Contains("another run is at work") && Contains("process"));
  }
  CHECK_NOTHROW(FolderLock(folder / "out"));
  CHECK_THROWS_AS(FolderLock(folder.write("file", "x")), InputError);
}

TEST_CASE("wishes are many, different and bounded", "[yard]") {
  PlanJob job;
  job.targets = {solver::board_size("50x150x2400=3"), solver::board_size("25x100x1200=1"),
                 solver::board_size("75x200x6000=9")};
  job.priorities = {2, 1, 1};
  LogModel log;
  log.stations.resize(2);
  log.stations[1].x_m = 3;
  const auto wishes = wishes_for(job, log);
  CHECK(wishes.front().targets == std::vector<std::size_t>{0, 1, 2});
  CHECK(wishes.front().values == std::vector<double>{3, 1, 9});
  std::size_t cut = 0;
  for (std::size_t i = 1; i < wishes.size(); ++i) {
    CAPTURE(wishes[i].words);
    CHECK(wishes[i].targets.size() == wishes[i].values.size());
    for (const std::size_t target : wishes[i].targets) {
      CHECK(target != 2);  // longer than the log
    }
    for (std::size_t j = 0; j < i; ++j) {
      CHECK((wishes[j].targets != wishes[i].targets || wishes[j].values != wishes[i].values ||
             wishes[j].pattern != wishes[i].pattern || wishes[j].cut_first != wishes[i].cut_first));
    }
    cut += wishes[i].cut_first ? 1 : 0;
  }
  CHECK(cut > 0);  // 1.2 m goes into both pieces
  CHECK(wishes.size() > 6);
  job.most_plans = 3;
  CHECK(wishes_for(job, log).size() == 3);
  log.stations[1].x_m = 1;  // shorter than any
  CHECK(wishes_for(job, log).size() == 1);
}

TEST_CASE("a map shows what lies in one coordinate system", "[yard]") {
  using Kind = scan::FileFormat::Kind;
  YardResult result;
  const auto add = [&](const std::string& file, scan::FileFormat::Kind format, double x_m) {
    YardLog log;
    log.file = file;
    log.name = file + std::to_string(result.logs.size());
    log.plans.format.kind = format;
    log.plans.length_m = 3;
    log.plans.ends_in_scan_m = {Eigen::Vector3d(x_m, 0, 0), Eigen::Vector3d(x_m, 3, 0)};
    result.logs.push_back(log);
  };
  add("a.ply", Kind::ply, 0);
  add("b.ply", Kind::ply, 5);
  CHECK(maps_of(result).empty());
  add("c.las", Kind::las, 4e5);
  add("d.e57", Kind::e57, 4e5 + 2);
  add("b.ply", Kind::ply, 7);
  const auto maps = maps_of(result);
  REQUIRE(maps.size() == 2);
  CHECK(maps[0].places.size() == 2);
  CHECK(maps[0].places[1].log == 3);
  CHECK(maps[1].places[0].log == 1);
  add("e.las", Kind::las, 4e5);  // on top of c.las: these are no survey's coordinates
  CHECK(maps_of(result).size() == 1);
}

TEST_CASE("folder names are one to one", "[yard]") {
  CHECK(folder_name("larch-1.ply") == "larch-1.ply");
  CHECK(folder_name("a/b") != folder_name("a_b"));
  CHECK(folder_name("a/b").find('/') == std::string::npos);
  CHECK(folder_name("..") != "..");
  CHECK(!folder_name(".x").starts_with('.'));
}

TEST_CASE("a request out of range is refused", "[yard]") {
  const Folder folder;
  const auto wrong = [&](const std::string& reason, const auto& change) {
    YardRequest request = request_in(folder);
    change(request);
    CHECK_THROWS_WITH(check(request), Contains(reason));
  };
  CHECK_NOTHROW(check(request_in(folder)));
  wrong("most_nodes", [](YardRequest& request) { request.search.most_nodes = 0; });
  wrong("shards is 0", [](YardRequest& request) { request.shards = 0; });
  wrong("shard is 3", [](YardRequest& request) { request.shard = 3; });
  wrong("out is empty", [](YardRequest& request) { request.out.clear(); });
  wrong("jobs is -1", [](YardRequest& request) { request.workers.jobs = -1; });
  wrong("lines", [](YardRequest& request) { request.order.lines.clear(); });
}

}  // namespace
}  // namespace flitchwise::yard
