#pragma once
/// By what a log's plans are known again.

#include <string>
#include <vector>

#include "tools/yard/list_logs.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

struct KeyedLog {
  ListedLog listed;
  PlanJob job;
  std::vector<FileState> files;
  std::string key;  ///< of the scan's content, the job and the version of the planner; empty: see `trouble`
  std::string trouble;  ///< why the scan cannot be read
  std::string same_as;  ///< name of an earlier log that is the same scan; empty: none
  bool in_this_shard = true;
  bool complete = true;  ///< see YardRequest::is_complete
};

/// The key of a job for a scan with this content, whatever its files are called and however many threads do
/// it.
std::string key_of(const PlanJob& job, const std::string& content);

/// The logs in their order. Scans of this run's shard are read once each, unless the store knows their files.
std::vector<KeyedLog> keyed_logs(const YardRequest& request, const ListedLogs& listed, Store& store);

}  // namespace flitchwise::yard
