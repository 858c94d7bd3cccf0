/// Block tridiagonal systems against Eigen's dense routines.

#include "scan/fit/block_tridiagonal.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

namespace {

using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

constexpr double kRoundOff = 1e-10;  // the matrices below are well conditioned

Eigen::MatrixXd random_matrix(Eigen::Index rows, Eigen::Index columns, std::mt19937_64& random) {
  const double reach = 1.0 / static_cast<double>(rows);  // rows stay smaller than the firm diagonal below
  std::uniform_real_distribution<double> uniform(-reach, reach);
  return Eigen::MatrixXd::NullaryExpr(rows, columns, [&] { return uniform(random); });
}

/// L L^T of a random block bidiagonal L with a firm diagonal: positive definite and block tridiagonal.
BlockTridiagonal random_positive(std::size_t blocks, Eigen::Index size, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  BlockTridiagonal matrix(blocks, size);
  Eigen::MatrixXd before;
  for (std::size_t i = 0; i < blocks; ++i) {
    Eigen::MatrixXd own = random_matrix(size, size, random).triangularView<Eigen::Lower>();
    own.diagonal() = own.diagonal().cwiseAbs().array() + 1;
    matrix.diagonal[i] = own * own.transpose();
    if (i > 0) {
      matrix.diagonal[i] += before * before.transpose();
    }
    if (i + 1 < blocks) {
      before = random_matrix(size, size, random);
      matrix.below[i] = before * own.transpose();
    }
  }
  return matrix;
}

Eigen::MatrixXd dense(const BlockTridiagonal& matrix) {
  const Eigen::Index m = matrix.diagonal.front().rows();
  const auto n = static_cast<Eigen::Index>(matrix.diagonal.size());
  Eigen::MatrixXd all = Eigen::MatrixXd::Zero(n * m, n * m);
  for (Eigen::Index i = 0; i < n; ++i) {
    all.block(i * m, i * m, m, m) = matrix.diagonal[static_cast<std::size_t>(i)];
    if (i + 1 < n) {
      all.block((i + 1) * m, i * m, m, m) = matrix.below[static_cast<std::size_t>(i)];
      all.block(i * m, (i + 1) * m, m, m) = matrix.below[static_cast<std::size_t>(i)].transpose();
    }
  }
  return all;
}

}  // namespace

TEST_CASE("the block Cholesky factor agrees with dense Eigen", "[block_tridiagonal]") {
  const auto [blocks, size] = GENERATE(std::pair{1, 1}, std::pair{1, 6}, std::pair{2, 3}, std::pair{7, 1},
                                       std::pair{5, 4}, std::pair{12, 9});
  const auto seed = static_cast<std::uint64_t>(100 * blocks + size);
  CAPTURE(blocks, size, seed);
  const BlockTridiagonal matrix = random_positive(static_cast<std::size_t>(blocks), size, seed);
  const Eigen::MatrixXd all = dense(matrix);
  const BlockCholesky factor(matrix);
  REQUIRE(factor.ok());

  std::mt19937_64 random(seed + 1);
  const Eigen::VectorXd b = random_matrix(all.rows(), 1, random);
  CHECK((factor.solve(b) - all.ldlt().solve(b)).norm() <= kRoundOff * b.norm());

  const double log_determinant = std::log(all.determinant());
  CHECK_THAT(factor.log_determinant(),
             WithinAbs(log_determinant, kRoundOff) || WithinRel(log_determinant, kRoundOff));

  const Eigen::MatrixXd inverse = all.inverse();
  const BlockTridiagonal found = factor.inverse_blocks();
  REQUIRE(found.diagonal.size() == matrix.diagonal.size());
  REQUIRE(found.below.size() == matrix.below.size());
  for (Eigen::Index i = 0; i < blocks; ++i) {
    const auto k = static_cast<std::size_t>(i);
    CHECK((found.diagonal[k] - inverse.block(i * size, i * size, size, size)).norm() < kRoundOff);
    if (i + 1 < blocks) {
      CHECK((found.below[k] - inverse.block((i + 1) * size, i * size, size, size)).norm() < kRoundOff);
    }
  }
}

TEST_CASE("a matrix that is not positive definite is told", "[block_tridiagonal]") {
  BlockTridiagonal matrix = random_positive(4, 3, 5);
  REQUIRE(BlockCholesky(matrix).ok());
  const double least = Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(dense(matrix)).eigenvalues()[0];
  const auto shifted = [&](double by) {
    BlockTridiagonal less = matrix;
    for (auto& block : less.diagonal) {
      block.diagonal().array() -= by;
    }
    return less;
  };
  CHECK(BlockCholesky(shifted(0.99 * least)).ok());
  CHECK_FALSE(BlockCholesky(shifted(1.01 * least)).ok());

  // Each diagonal block by itself is positive definite; only the coupling is too strong.
  BlockTridiagonal coupled(3, 2);
  for (auto& block : coupled.diagonal) {
    block.setIdentity();
  }
  for (auto& block : coupled.below) {
    block = 0.8 * Eigen::Matrix2d::Identity();
  }
  CHECK_FALSE(BlockCholesky(coupled).ok());
}

TEST_CASE("block tridiagonal matrices add up", "[block_tridiagonal]") {
  BlockTridiagonal sum = random_positive(4, 2, 8);
  const BlockTridiagonal other = random_positive(4, 2, 9);
  const Eigen::MatrixXd expected = dense(sum) + dense(other);
  sum += other;
  CHECK((dense(sum) - expected).norm() == 0);
  CHECK(dense(BlockTridiagonal(3, 2)) == Eigen::MatrixXd::Zero(6, 6));
}
