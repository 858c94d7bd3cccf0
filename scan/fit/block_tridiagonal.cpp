#include "scan/fit/block_tridiagonal.hpp"

#include <cmath>

namespace flitchwise::scan {

BlockTridiagonal::BlockTridiagonal(std::size_t blocks, Eigen::Index block_size)
    : diagonal(blocks, Eigen::MatrixXd::Zero(block_size, block_size)),
      below(blocks > 0 ? blocks - 1 : 0, Eigen::MatrixXd::Zero(block_size, block_size)) {}

BlockTridiagonal& BlockTridiagonal::operator+=(const BlockTridiagonal& other) {
  for (std::size_t i = 0; i < diagonal.size(); ++i) {
    diagonal[i] += other.diagonal[i];
  }
  for (std::size_t i = 0; i < below.size(); ++i) {
    below[i] += other.below[i];
  }
  return *this;
}

// A = L L^T with L_ii = chol(A_ii - L_i,i-1 L_i,i-1^T) and L_i+1,i = A_i+1,i L_ii^-T.
BlockCholesky::BlockCholesky(const BlockTridiagonal& matrix) {
  const std::size_t n = matrix.diagonal.size();
  factor_.reserve(n);
  below_.reserve(n);
  for (std::size_t i = 0; i < n && ok_; ++i) {
    Eigen::MatrixXd pivot = matrix.diagonal[i];
    if (i > 0) {
      pivot.noalias() -= below_[i - 1] * below_[i - 1].transpose();
    }
    const Eigen::LLT<Eigen::MatrixXd> llt(pivot);
    ok_ = llt.info() == Eigen::Success;
    factor_.emplace_back(llt.matrixL());
    if (i + 1 < n) {
      below_.emplace_back(
          factor_[i].triangularView<Eigen::Lower>().solve(matrix.below[i].transpose()).transpose());
    }
  }
}

double BlockCholesky::log_determinant() const {
  double sum = 0;
  for (const auto& block : factor_) {
    sum += 2 * block.diagonal().array().log().sum();
  }
  return sum;
}

Eigen::VectorXd BlockCholesky::solve(const Eigen::VectorXd& b) const {
  const auto n = static_cast<Eigen::Index>(factor_.size());
  const Eigen::Index m = b.size() / n;
  Eigen::VectorXd x = b;
  for (Eigen::Index i = 0; i < n; ++i) {
    if (i > 0) {
      x.segment(i * m, m) -= below_[static_cast<std::size_t>(i - 1)] * x.segment((i - 1) * m, m);
    }
    factor_[static_cast<std::size_t>(i)].triangularView<Eigen::Lower>().solveInPlace(x.segment(i * m, m));
  }
  for (Eigen::Index i = n - 1; i >= 0; --i) {
    if (i + 1 < n) {
      x.segment(i * m, m) -= below_[static_cast<std::size_t>(i)].transpose() * x.segment((i + 1) * m, m);
    }
    factor_[static_cast<std::size_t>(i)].triangularView<Eigen::Lower>().transpose().solveInPlace(
        x.segment(i * m, m));
  }
  return x;
}

// From A^-1 = S with S L = L^-T, read from the last block upwards:
// S_i+1,i = -S_i+1,i+1 G and S_ii = (L_ii L_ii^T)^-1 - G^T S_i+1,i with G = L_i+1,i L_ii^-1.
BlockTridiagonal BlockCholesky::inverse_blocks() const {
  const std::size_t n = factor_.size();
  const Eigen::Index m = factor_.front().rows();
  BlockTridiagonal inverse(n, m);
  for (std::size_t k = n; k-- > 0;) {
    const auto lower = factor_[k].triangularView<Eigen::Lower>();
    const Eigen::MatrixXd own_factor = lower.solve(Eigen::MatrixXd::Identity(m, m));
    inverse.diagonal[k].noalias() = own_factor.transpose() * own_factor;
    if (k + 1 < n) {
      const Eigen::MatrixXd g = below_[k] * own_factor;
      inverse.below[k].noalias() = -inverse.diagonal[k + 1] * g;
      inverse.diagonal[k].noalias() -= g.transpose() * inverse.below[k];
    }
  }
  return inverse;
}

}  // namespace flitchwise::scan
