#pragma once
/// Values as bytes and back: between the yard's processes and in its store. The bytes are the same on every
/// machine. Whoever changes one of these structs raises kStoreVersion (store.hpp).

#include <Eigen/Core>
#include <array>
#include <cereal/archives/portable_binary.hpp>
#include <cereal/types/array.hpp>
#include <cereal/types/optional.hpp>
#include <cereal/types/string.hpp>
#include <cereal/types/variant.hpp>
#include <cereal/types/vector.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"

namespace cereal {

template <class Archive, typename Scalar, int Rows, int Columns>
void save(Archive& archive, const Eigen::Matrix<Scalar, Rows, Columns>& matrix) {
  archive(static_cast<std::int64_t>(matrix.rows()), static_cast<std::int64_t>(matrix.cols()));
  for (Eigen::Index i = 0; i < matrix.size(); ++i) {
    archive(matrix.data()[i]);
  }
}

template <class Archive, typename Scalar, int Rows, int Columns>
void load(Archive& archive, Eigen::Matrix<Scalar, Rows, Columns>& matrix) {
  std::int64_t rows = 0;
  std::int64_t columns = 0;
  archive(rows, columns);
  matrix.resize(rows, columns);
  for (Eigen::Index i = 0; i < matrix.size(); ++i) {
    archive(matrix.data()[i]);
  }
}

}  // namespace cereal

namespace flitchwise {

template <class Archive>
void serialize(Archive& archive, ScalePoints& points) {
  archive(points.first, points.second, points.distance_m);
}

template <class Archive>
void serialize(Archive& archive, LogFrame& frame) {
  archive(frame.origin_in_scan_m, frame.scan_from_log);
}

template <class Archive>
void serialize(Archive& archive, Station& station) {
  archive(station.x_m, station.centre_m, station.bark_radius_m, station.wood_radius_m, station.bark_sigma_m,
          station.wood_sigma_m, station.seen);
}

template <class Archive>
void serialize(Archive& archive, EndPlane& end) {
  archive(end.point_m, end.normal, end.seen);
}

template <class Archive>
void serialize(Archive& archive, Pith& pith) {
  archive(pith.small_end_m, pith.large_end_m, pith.source);
}

template <class Archive>
void serialize(Archive& archive, Knot& knot) {
  archive(knot.x_m, knot.theta_rad, knot.height_m, knot.extent_m);
}

template <class Archive>
void serialize(Archive& archive, LogModel& log) {
  archive(log.frame, log.stations, log.small_end, log.large_end, log.pith, log.knots, log.bark_m,
          log.bark_sigma_m, log.bark_source, log.residual_m, log.length_m, log.density_kg_m3,
          log.density_source);
}

namespace solver {

template <class Archive>
void serialize(Archive& archive, Target& target) {
  archive(target.name, target.thickness_m, target.width_m, target.length_m, target.value, target.wane_share);
}

template <class Archive>
void serialize(Archive& archive, Orientation& orientation) {
  archive(orientation.roll_rad, orientation.pitch, orientation.height_m);
}

template <class Archive>
void serialize(Archive& archive, SearchOptions& options) {
  archive(options.kerf_m, options.rip_kerf_m, options.crosscut_kerf_m, options.sigmas, options.tolerance_m,
          options.time_limit_s, options.most_nodes, options.most_pitch, options.as_it_lies,
          options.roll_only_rad, options.pattern, options.keep_pith_out_m, options.most_grain_slope,
          options.short_lengths_m, options.threads);
}

template <class Archive>
void serialize(Archive& archive, CutPlane& plane) {
  archive(plane.point_m, plane.normal);
}

template <class Archive>
void serialize(Archive& archive, Board& board) {
  archive(board.id, board.flitch, board.window, board.target, board.corners_m, board.margin_m,
          board.grain_slope);
}

template <class Archive>
void serialize(Archive& archive, Flitch& flitch) {
  archive(flitch.kind, flitch.thickness_m, flitch.upper_plane, flitch.lower_plane, flitch.yaw, flitch.boards);
}

template <class Archive>
void serialize(Archive& archive, Proof& proof) {
  archive(proof.boards, proof.upper_bound, proof.value, proof.upper_value, proof.tolerance_m, proof.proven,
          proof.nodes, proof.seconds, proof.margin_bound_m, proof.margin_proven, proof.ended_early);
}

template <class Archive>
void serialize(Archive& archive, LogTooShort& why) {
  archive(why.whole_m);
}

template <class Archive>
void serialize(Archive& archive, SearchEnded& why) {
  archive(why.by_time);
}

template <class Archive>
void serialize(Archive& archive, NoPlace& why) {
  archive(why.by_a_hair, why.thickness_m, why.widest_m);
}

template <class Archive>
void serialize(Archive& archive, KitMend& mend) {
  archive(mend.kind, mend.length_m);
}

template <class Archive>
void serialize(Archive& archive, KitCosts& costs) {
  archive(costs.best_boards, costs.mend, costs.boards);
}

template <class Archive>
void serialize(Archive& archive, SawPlan& plan) {
  archive(plan.status, plan.why_none, plan.targets, plan.options, plan.orientation, plan.planes,
          plan.flitches, plan.boards, plan.value, plan.margin_m, plan.proof);
}

}  // namespace solver

namespace report {

template <class Archive>
void serialize(Archive& archive, ScanInfo& scan) {
  archive(scan.file, scan.format, scan.points_read, scan.scale, scan.scale_source, scan.up_source,
          scan.scan_from_file);
}

template <class Archive>
void serialize(Archive& archive, SeenPoints& points) {
  archive(points.in_log_m, points.colours);
}

}  // namespace report

namespace yard {

template <typename Value>
std::string bytes_of(const Value& value) {
  std::ostringstream stream(std::ios::binary);
  {
    cereal::PortableBinaryOutputArchive archive(stream);
    archive(value);
  }
  return std::move(stream).str();
}

/// Throws std::exception if the bytes are no such value.
template <typename Value>
Value from_bytes(const std::string& bytes) {
  std::istringstream stream(bytes, std::ios::binary);
  cereal::PortableBinaryInputArchive archive(stream);
  Value value;
  archive(value);
  return value;
}

}  // namespace yard
}  // namespace flitchwise
