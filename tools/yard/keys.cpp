#include "tools/yard/keys.hpp"

#include <map>

#include "scan/model/errors.hpp"
#include "tools/job/planner_version.hpp"
#include "tools/yard/archive.hpp"

namespace flitchwise::yard {
namespace {

PlanJob job_for(const YardRequest& request, const ListedLog& log) {
  PlanJob job;
  job.scan = log.scan;
  for (const solver::OrderLine& line : request.order.lines) {
    job.targets.push_back(line.target);
    job.priorities.push_back(line.priority);
  }
  job.search = request.search;
  job.search.threads = 0;
  job.all_patterns = request.all_patterns;
  job.kerf_m = request.kerf_m;
  job.kit = request.kit;
  job.most_plans = request.most_plans;
  return job;
}

std::string hash_of_files(const ListedLog& log, const std::vector<FileState>& files, Store& store) {
  if (const auto known = store.hash(files)) {
    return *known;
  }
  std::string hash = hash_of_scan(log.scan.files.front().path, files);
  if (files_of_scan(log.scan.files.front().path) == files) {  // else it grew while it was read
    store.keep_hash(files, hash);
  }
  return hash;
}

/// A message with the names of files as they are below the yard's folder.
std::string below_folder(std::string text, const std::filesystem::path& folder) {
  const std::string prefix = (folder / "").string();
  for (std::size_t at = text.find(prefix); at != std::string::npos; at = text.find(prefix, at)) {
    text.erase(at, prefix.size());
  }
  return text;
}

std::string place_of(const ListedLog& log) {
  return log.scan.near_in_file ? bytes_of(*log.scan.near_in_file) : std::string();
}

}  // namespace

std::string key_of(const PlanJob& job, const std::string& content) {
  PlanJob bare = job;
  bare.scan.files.clear();
  bare.search.threads = 0;
  if (bare.kit) {
    bare.kit->name.clear();  // only told to people, and perhaps its file's
  }
  return hash_of(bytes_of(bare) + content + "/" + FLITCHWISE_VERSION + "/" + std::to_string(kPlannerVersion));
}

std::vector<KeyedLog> keyed_logs(const YardRequest& request, const ListedLogs& listed, Store& store) {
  std::vector<KeyedLog> logs;
  std::map<std::pair<std::string, std::string>, std::string> seen;
  for (const ListedLog& one : listed.logs) {
    KeyedLog log;
    log.listed = one;
    log.job = job_for(request, one);
    const auto index = static_cast<int>(logs.size());
    log.in_this_shard = index % request.shards == request.shard - 1;
    try {
      log.files = files_of_scan(one.scan.files.front().path);
      log.complete = !request.is_complete || request.is_complete(log.files);
      if (log.in_this_shard && log.complete) {
        const std::string content = hash_of_files(one, log.files, store);
        log.key = key_of(log.job, content);
        const auto [first, is_new] = seen.try_emplace({content, place_of(one)}, one.name);
        log.same_as = is_new ? "" : first->second;
      }
    } catch (const InputError& error) {
      log.trouble = below_folder(error.what(), request.folder);
    }
    logs.push_back(std::move(log));
  }
  return logs;
}

}  // namespace flitchwise::yard
