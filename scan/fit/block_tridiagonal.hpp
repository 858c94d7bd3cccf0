#pragma once
/// Symmetric positive definite block tridiagonal systems: a spline along the log couples only neighbouring
/// groups of knots, so that factor, solution and the needed part of the inverse cost time linear in the log's
/// length.

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <vector>

namespace flitchwise::scan {

struct BlockTridiagonal {
  std::vector<Eigen::MatrixXd> diagonal;  ///< n blocks of the same size
  std::vector<Eigen::MatrixXd> below;     ///< n - 1 blocks: row i + 1, column i

  BlockTridiagonal(std::size_t blocks, Eigen::Index block_size);
  BlockTridiagonal& operator+=(const BlockTridiagonal& other);
};

/// Cholesky factor of a block tridiagonal matrix.
class BlockCholesky {
 public:
  /// `ok()` is false if the matrix is not positive definite.
  explicit BlockCholesky(const BlockTridiagonal& matrix);
  bool ok() const { return ok_; }
  double log_determinant() const;
  /// Solution of A x = b; b has one stacked entry a row.
  Eigen::VectorXd solve(const Eigen::VectorXd& b) const;
  /// Those blocks of the inverse that lie where the matrix itself has blocks.
  BlockTridiagonal inverse_blocks() const;

 private:
  std::vector<Eigen::MatrixXd> factor_;  // lower triangular, on the diagonal
  std::vector<Eigen::MatrixXd> below_;
  bool ok_ = true;
};

}  // namespace flitchwise::scan
