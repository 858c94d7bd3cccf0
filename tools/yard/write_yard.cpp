#include "tools/yard/write_yard.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "scan/model/errors.hpp"
#include "tools/report/files.hpp"
#include "tools/yard/archive.hpp"
#include "tools/yard/page.hpp"
#include "tools/yard/tables.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;

constexpr const char* kPlans = "plans";
constexpr const char* kBegun = ".begun-";  // before a folder's name while it is filled
constexpr const char* kOld = ".old-";      // before the name of one that is on its way out

bool is_plain(char letter) {
  const auto byte = static_cast<unsigned char>(letter);
  constexpr unsigned char kFirstOfUtf8 = 0x80;
  return std::isalnum(byte) != 0 || letter == '.' || letter == '_' || letter == '-' || byte >= kFirstOfUtf8;
}

class PlanFolders {
 public:
  PlanFolders(const YardRequest& request, Store& store, const std::vector<KeyedLog>& keyed,
              YardResult& result)
      : request_(request), store_(store), keyed_(keyed), result_(result), folder_(request.out / kPlans) {}

  bool run() {
    make_room();
    for (std::size_t i = 0; i < result_.logs.size(); ++i) {
      YardLog& log = result_.logs[i];
      if (log.state != YardLog::State::saw) {
        continue;
      }
      log.plan_folder = fs::path(kPlans) / folder_name(log.name);
      const bool there = store_.written(log.name) == stamp(i) && fs::exists(folder_ / folder_name(log.name));
      if (!there) {
        missing_.push_back(i);
      }
    }
    return do_all(
        missing_.size(), [&](std::size_t i) { return work(missing_[i]); },
        [&](std::size_t i, const Ended& how) {
          ended(missing_[i], how);
          return true;
        },
        request_.workers);
  }

 private:
  /// Removes what a run that was broken off left, and the plans of logs that are not sawn any more.
  void make_room() {
    fs::create_directories(folder_);
    for (const auto& there : fs::directory_iterator(folder_)) {
      const std::string name = there.path().filename().string();
      if (name.starts_with(kBegun) || name.starts_with(kOld)) {
        fs::remove_all(there.path());
      }
    }
    std::set<std::string> sawn;
    for (const YardLog& log : result_.logs) {
      if (log.state == YardLog::State::saw) {
        sawn.insert(log.name);
      }
    }
    for (const std::string& name : store_.logs_written()) {
      if (!sawn.contains(name)) {
        fs::remove_all(folder_ / folder_name(name));
        store_.set_written(name, "");
      }
    }
  }

  const CandidatePlan& chosen(std::size_t i) const {
    return result_.logs[i].plans.candidates.at(result_.logs[i].chosen);
  }

  /// What the files depend on.
  std::string stamp(std::size_t i) const {
    return hash_of(keyed_[i].key + bytes_of(chosen(i)) + bytes_of(request_.settings) +
                   bytes_of(request_.notes) + bytes_of(request_.kit) + result_.logs[i].name);
  }

  Work work(std::size_t i) const {
    WriteJob job;
    job.models = store_.models(keyed_[i].key);
    job.candidate = chosen(i);
    job.log_name = result_.logs[i].name;
    job.kit = request_.kit;
    job.kerf_m = request_.kerf_m;
    job.settings = request_.settings;
    job.notes = request_.notes;
    job.folder = (folder_ / (kBegun + folder_name(result_.logs[i].name))).string();
    return {Work::Kind::write, bytes_of(job)};
  }

  void ended(std::size_t i, const Ended& how) {
    YardLog& log = result_.logs[i];
    const fs::path begun = folder_ / (kBegun + folder_name(log.name));
    if (!how.done) {
      fs::remove_all(begun);
      log.plan_folder.clear();
      log.message = "Its plan could not be written: " + how.message;
      return;
    }
    const fs::path folder = folder_ / folder_name(log.name);
    const fs::path old = folder_ / (kOld + folder_name(log.name));
    store_.set_written(log.name, "");
    if (fs::exists(folder)) {
      fs::rename(folder, old);
    }
    fs::rename(begun, folder);
    fs::remove_all(old);
    store_.set_written(log.name, stamp(i));
  }

  const YardRequest& request_;
  Store& store_;
  const std::vector<KeyedLog>& keyed_;
  YardResult& result_;
  fs::path folder_;
  std::vector<std::size_t> missing_;
};

}  // namespace

std::string folder_name(const std::string& log) {
  std::string name = log;
  std::replace_if(
      name.begin(), name.end(), [](char letter) { return !is_plain(letter); }, '_');
  if (name == log && !name.starts_with('.')) {
    return name;
  }
  constexpr std::size_t kEnough = 8;  // digits, to tell a/b from a_b
  return (name.starts_with('.') ? "_" : "") + name + "-" + hash_of(log).substr(0, kEnough);
}

bool write_yard(const YardRequest& request, Store& store, const std::vector<KeyedLog>& keyed,
                YardResult& result) {
  try {
    if (!PlanFolders(request, store, keyed, result).run()) {
      return false;
    }
    report::write_together(request.out, {{"yard.csv", yard_csv(request.order, result)},
                                         {"coverage.csv", coverage_csv(request.order, result)},
                                         {"loads.csv", loads_csv(result)},
                                         {"yard.html", yard_page(request.order, result)}});
  } catch (const fs::filesystem_error& error) {
    throw InputError(error.path1().string() + " cannot be written (" + error.code().message() +
                     "): check the disk's space and access rights.");
  }
  return true;
}

}  // namespace flitchwise::yard
