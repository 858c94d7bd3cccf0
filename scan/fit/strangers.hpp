#pragma once
/// Which of the doubtful places on and round a log are its own surface, and which show something else.

#include <vector>

namespace flitchwise::scan {

/// A place whose radius may be that of something else than the log.
struct Doubtful {
  double over_m = 0;        ///< its radius less what all else leads one to expect
  double sigma_m = 0;       ///< of `over_m`, if the place is the log's own
  double others_share = 0;  ///< how likely the place is not the log's own before it is looked at; (0, 1)
  int row = 0;              ///< place in a grid, whose columns go round the log; not negative
  int column = 0;           ///< [0, columns)
};

/// How the other things lie.
struct Strangers {
  double reach_m = 0;        ///< from the log's surface: evenly up to this
  double outside_share = 0;  ///< the share of them that lies outside of it
  double doubt_places = 0;   ///< `others_share` counts as much as so many neighbours
  int rows_around = 0;       ///< neighbours that one of them is likely to cover, too
  int columns_around = 0;    ///< less than half of the columns
};

/// Probability of each place to be the log's own: the likelier the nearer it lies to where it is expected,
/// and the more of its neighbours are. Mean-field iteration of the mixture of both; at most one place a grid
/// cell.
std::vector<double> own_shares(const std::vector<Doubtful>& places, int columns, const Strangers& strangers);

}  // namespace flitchwise::scan
