#include "cases/run/parallel.hpp"
#include "mesh/index.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

TEST_CASE("Parallel: every piece is done once, whatever the number of threads", "[parallel]") {
  for (const int n_threads : {1, 2, 5}) {
    std::vector<int> times(40, 0);
    for_each_in_parallel(40, n_threads,
                         [&](int k, const std::atomic<bool>&) { ++times[index(k)]; });
    CHECK(std::ranges::count(times, 1) == 40);
  }
  for_each_in_parallel(0, 2, [](int, const std::atomic<bool>&) { FAIL("no piece, no call"); });
}

TEST_CASE(
    "Parallel: after a failure no piece is begun, those at work are told, the first is thrown",
    "[parallel]") {
  std::atomic<int> begun = 0;
  std::atomic<bool> was_told = false;
  const auto fail = [&](int n_threads) {
    for_each_in_parallel(1000, n_threads, [&](int k, const std::atomic<bool>& failed) {
      ++begun;
      if (k < 2) {
        throw std::runtime_error("piece " + std::to_string(k));
      }
      while (!failed) { // a long piece, which only the failure of another ends
      }
      was_told = true;
    });
  };
  CHECK_THROWS_WITH(fail(1), "piece 0");
  CHECK(begun == 1);
  CHECK_FALSE(was_told);

  begun = 0;
  CHECK_THROWS_WITH(fail(4), ContainsSubstring("piece 0") || ContainsSubstring("piece 1"));
  CHECK(begun <= 4);
}

TEST_CASE("Parallel: threads are those asked for, at most one a piece", "[parallel]") {
  CHECK(threads_for(3, 8) == 3);
  CHECK(threads_for(3, 2) == 2);
  CHECK(threads_for(3, 0) == 1);
  CHECK(threads_for(0, 1) == 1);
  CHECK(threads_for(0, 1000) >= 1);
}
