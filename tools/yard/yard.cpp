#include "tools/yard/yard.hpp"

#include "scan/model/errors.hpp"
#include "solver/search/short_boards.hpp"
#include "solver/setup/kit_file.hpp"
#include "tools/yard/allocate_logs.hpp"
#include "tools/yard/find_scans.hpp"
#include "tools/yard/keys.hpp"
#include "tools/yard/list_logs.hpp"
#include "tools/yard/plan_missing.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/write_yard.hpp"

namespace flitchwise::yard {

solver::SearchOptions YardRequest::plan_search() {
  constexpr std::uint64_t kNodes = 1500;  // finds what most logs give; the proof would take ten times as long
  solver::SearchOptions options;
  options.most_nodes = kNodes;
  return options;
}

void check(const YardRequest& request) {
  solver::check(request.order);
  solver::check(request.search);
  solver::check_short_lengths(request.order.targets(), request.search);
  check(request.workers);
  require(!request.out.empty(), "out is empty; name a folder for the results");
  require(request.search.most_nodes > 0,
          "most_nodes is 0, but must be at least 1: without it no plan would come out the same twice");
  check_limits(request);
  require_within({1, static_cast<double>(request.shards)}, request.shard, "shard");
  if (request.kit) {
    const std::string error = solver::find_error(*request.kit);  // told before any work
    require(error.empty(), error);
  }
}

YardResult plan_yard(const YardRequest& request, const YardListener& listener) {
  check(request);
  const auto stage = [&](std::string_view name) { listener.on_stage ? listener.on_stage(name) : void(); };
  stage("looking for scans");
  ListedLogs listed = list_logs(request);
  if (listed.logs.empty() && !request.is_complete) {
    throw InputError("There is no scan in " + request.folder.string() +
                     ": put the scan files there (PLY, PCD, LAS, E57, OBJ, STL, glTF, XYZ text, or folders "
                     "of depth images).");
  }
  const FolderLock lock(request.out);
  Store store(request.out / kStoreFile);
  for (const auto& other : request.merge) {
    store.take_over(other);
  }

  stage("comparing the scans with what is known");
  YardResult result;
  result.notes = listed.notes;
  std::vector<KeyedLog> keyed = keyed_logs(request, listed, store);
  stage("planning the logs");
  result.finished = plan_missing(request, listener, store, keyed, result);
  if (!result.finished || request.shards > 1) {
    return result;
  }
  stage("allocating the logs to the order");
  allocate_logs(request, result);
  stage("writing the plans");
  result.finished = write_yard(request, store, keyed, result);
  return result;
}

}  // namespace flitchwise::yard
