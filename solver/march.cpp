// True time: where no steady state is found, the mean of the flow and how much it fluctuates.
#include "mesh/index.hpp"
#include "solver/assembly.hpp"
#include "solver/broyden.hpp"
#include "solver/linear.hpp"
#include "solver/scales.hpp"
#include "solver/steady.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <functional>
#include <utility>

namespace tiltfin {

namespace {

constexpr int max_iterations = 20;
constexpr int served = 10;             // iterations after which factors have been tried enough
constexpr double contraction = 0.9;    // slower than this: new factors, which cost ten iterations
constexpr double largest_change = 2.0; // of one iteration, relative: beyond it Newton is lost
constexpr double smallest_step_share = 0.02;

struct Sample {
  double value = 0.0;
  double weight = 0.0; ///< share of the window
};

/// What a window leaves behind.
struct Window {
  double mean = 0.0;           ///< of the hottest temperature
  double square = 0.0;         ///< mean square of its excess over `mean`
  std::vector<double> from;    ///< the state that it began with
  std::vector<double> average; ///< of the state
};

/// Several windows on end.
struct Stretch {
  double mean = 0.0;
  double spread = 0.0; ///< standard deviation
};

class March {
public:
  March(const Problem& problem, const MarchOptions& options)
      : problem_(problem),
        options_(options),
        unknowns_(number_unknowns(problem)),
        jacobian_(make_jacobian(problem, unknowns_)),
        solver_(jacobian_.matrix,
                scale_vector(problem, unknowns_, {problem.air.diffusivity(), 1.0})),
        step_size_(options.step) {}

  SolveReport run(State& state, State* last) {
    const auto begin = std::chrono::steady_clock::now();
    z_ = pack(unknowns_, state);
    while (static_cast<int>(windows_.size()) < options_.max_windows) {
      if (!march_window()) {
        break; // a window cut short has no mean
      }
      if (settled()) {
        report_.status = SolveStatus::time_average;
        break;
      }
    }
    report_.time_step = step_size_;
    if (last != nullptr) {
      *last = unpack(unknowns_, z_);
    }
    if (!windows_.empty()) {
      const std::size_t n = windows_.size();
      report_.fluctuation = stretch(n - half(), n).spread;
      report_.sampling = sampling();
      report_.averaged = static_cast<double>(half()) * options_.window * options_.step;
      z_ = average(n - half(), n);
    }
    state = unpack(unknowns_, z_);
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
    report_.seconds = elapsed.count();
    return report_;
  }

  SolveReport record(State& state, const RecordOptions& wish,
                     const std::function<void(double, const State&)>& frame) {
    const auto begin = std::chrono::steady_clock::now();
    z_ = pack(unknowns_, state);
    report_.status = SolveStatus::converged;
    double now = 0.0;
    for (const double time : wish.times_s) {
      const bool arrived = march_to(now, time, wish.steps_between);
      state = unpack(unknowns_, z_);
      if (!arrived) {
        break;
      }
      frame(time, state);
      now = time;
    }
    report_.time_step = step_size_;
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
    report_.seconds = elapsed.count();
    return report_;
  }

private:
  /// From one time to another in so many steps, or in more where they fail. False when the caller
  /// asked to stop or no step size serves; the report says which.
  bool march_to(double from, double to, int steps) {
    const double wanted = (to - from) / steps;
    if (std::abs(wanted - step_size_) > 1e-9 * wanted) {
      change_step(wanted / step_size_);
    }
    for (double left = to - from; left > 1e-9 * wanted;) {
      if (options_.steady.stop != nullptr && options_.steady.stop->load()) {
        report_.status = SolveStatus::stopped;
        return false;
      }
      if (step()) {
        left -= step_size_;
        if (options_.steady.watch) {
          options_.steady.watch(report_);
        }
      } else if (step_size_ > smallest_step_share * wanted) {
        change_step(0.5); // steps left still fit: each is a power of two of the wanted one
      } else {
        report_.status = SolveStatus::not_converged;
        return false;
      }
    }
    return true;
  }

  /// Windows of each of the two stretches that are compared: the longer nothing settles the longer,
  /// so that the means of a flow that puffs at random come to agree; the first third is left out.
  [[nodiscard]] std::size_t half() const { return std::max<std::size_t>(1, windows_.size() / 3); }

  bool settled() {
    const std::size_t n = windows_.size();
    report_.stored = stored_share(windows_[n - half()].from, half());
    if (n < 2) {
      return false;
    }
    const double now = stretch(n - half(), n).mean;
    const double last = stretch(n - 2 * half(), n - half()).mean;
    return report_.stored < options_.stored &&
           std::abs(now - last) < options_.drift * (now - coldest());
  }

  [[nodiscard]] Stretch stretch(std::size_t from, std::size_t to) const {
    const double share = 1.0 / static_cast<double>(to - from);
    Stretch all;
    for (std::size_t k = from; k < to; ++k) {
      all.mean += share * windows_[k].mean;
    }
    double square = 0.0;
    for (std::size_t k = from; k < to; ++k) {
      const double apart = windows_[k].mean - all.mean;
      square += share * (windows_[k].square + apart * apart);
    }
    all.spread = std::sqrt(square);
    return all;
  }

  /// How far the mean of the last stretch may be from that of a long march: as far as from the
  /// stretch before it, or twice its standard error.
  [[nodiscard]] double sampling() const {
    const std::size_t n = windows_.size();
    if (n < 2) {
      return 0.0;
    }
    const double now = stretch(n - half(), n).mean;
    const double apart = now - stretch(n - 2 * half(), n - half()).mean;
    double square = 0.0;
    for (std::size_t k = n - half(); k < n; ++k) {
      square += (windows_[k].mean - now) * (windows_[k].mean - now);
    }
    const auto count = static_cast<double>(half());
    return std::max(std::abs(apart), 2.0 * std::sqrt(square) / count);
  }

  [[nodiscard]] std::vector<double> average(std::size_t from, std::size_t to) const {
    std::vector<double> mean(z_.size(), 0.0);
    for (std::size_t k = from; k < to; ++k) {
      for (std::size_t i = 0; i < mean.size(); ++i) {
        mean[i] += windows_[k].average[i] / static_cast<double>(to - from);
      }
    }
    return mean;
  }

  /// False when the caller asked to stop or no step size serves.
  bool march_window() {
    std::vector<Sample> hottest;
    Window window{.from = z_, .average = std::vector<double>(z_.size(), 0.0)};
    const double length = options_.window * options_.step;
    try_longer_step();
    double time = 0.0;
    while (time < length * (1.0 - 1e-9)) {
      if (options_.steady.stop != nullptr && options_.steady.stop->load()) {
        report_.status = SolveStatus::stopped;
        return false;
      }
      const std::vector<double> start = z_;
      while (!step()) {
        if (step_size_ < options_.step * smallest_step_share) {
          return false;
        }
        change_step(0.5);
      }
      for (std::size_t i = 0; i < z_.size(); ++i) {
        window.average[i] += 0.5 * (start[i] + z_[i]) * (step_size_ / length);
      }
      hottest.push_back({extreme([](double a, double b) { return a > b; }), step_size_ / length});
      if (options_.steady.watch) {
        options_.steady.watch(report_);
      }
      time += step_size_;
    }
    for (const Sample& sample : hottest) {
      window.mean += sample.weight * sample.value;
    }
    for (const Sample& sample : hottest) {
      const double apart = sample.value - window.mean;
      window.square += sample.weight * apart * apart;
    }
    windows_.push_back(std::move(window));
    return true;
  }

  /// Heat stored since the state `from`, so many windows ago, as a share of the heat released.
  [[nodiscard]] double stored_share(const std::vector<double>& from, std::size_t windows) const {
    const double rate = 1.0 / (static_cast<double>(windows) * options_.window * options_.step);
    TimeTerm time{rate, from};
    for (double& value : time.history) {
      value *= rate;
    }
    std::vector<double> stored = residual(problem_, unknowns_, z_, time);
    const std::vector<double> steady = residual(problem_, unknowns_, z_);
    for (std::size_t i = 0; i < stored.size(); ++i) {
      stored[i] -= steady[i];
    }
    return heat_imbalance(problem_, unknowns_, stored);
  }

  /// The multistep rule starts anew from the present state.
  void change_step(double factor) {
    step_size_ *= factor;
    before_.clear();
    factored_ = false;
  }

  /// A step that had to be halved may have been short for a moment only.
  void try_longer_step() {
    if (step_size_ < options_.step) {
      change_step(2.0);
    }
  }

  /// The second-order backward rule, (3 z - 4 z0 + z00) / (2 dt), begun by one step of implicit
  /// Euler, (z - z0) / dt: its single local error of second order keeps the whole of second order.
  [[nodiscard]] TimeTerm time_term() const {
    const bool begins = before_.empty();
    TimeTerm time{(begins ? 1.0 : 1.5) / step_size_, std::vector<double>(z_.size())};
    for (std::size_t i = 0; i < z_.size(); ++i) {
      time.history[i] = (begins ? z_[i] : 2.0 * z_[i] - 0.5 * before_[i]) / step_size_;
    }
    return time;
  }

  /// One step from the extrapolated state. False, and nothing has moved, when Newton's method does
  /// not converge.
  bool step() {
    ++report_.steps;
    const TimeTerm time = time_term();
    std::vector<double> next = z_;
    for (std::size_t i = 0; i < before_.size(); ++i) {
      next[i] += z_[i] - before_[i];
    }
    const std::vector<double> scale =
        scale_vector(problem_, unknowns_, measure_scales(problem_, unknowns_, z_));
    double last = 0.0;
    Broyden broyden(scale);
    for (int k = 0; k < max_iterations; ++k) {
      factored_ = factored_ && k != served;
      const bool fresh = !factored_;
      const std::vector<double> f = prepare(next, time);
      if (f.empty()) {
        return false;
      }
      if (fresh) {
        broyden.clear();
      }
      const std::vector<double> dz = broyden.correct(solver_.solve(f));
      const double change = relative_change(unknowns_, dz, scale);
      if (!(change < largest_change)) {
        return false;
      }
      for (std::size_t i = 0; i < next.size(); ++i) {
        next[i] -= dz[i];
      }
      if (change < options_.tolerance) {
        factored_ = factored_ && !before_.empty(); // the rate of the next step differs
        before_ = std::move(z_);
        z_ = std::move(next);
        return true;
      }
      factored_ = !(k > 0 && change > contraction * last);
      last = change;
    }
    return false;
  }

  /// Residual at `z`, with new factors when the old ones no longer serve; empty on failure.
  std::vector<double> prepare(const std::vector<double>& z, const TimeTerm& time) {
    if (factored_) {
      return residual(problem_, unknowns_, z, time);
    }
    ++report_.factorisations;
    std::vector<double> f = refill(problem_, unknowns_, z, time, jacobian_);
    factored_ = solver_.factor(jacobian_.matrix);
    return factored_ ? f : std::vector<double>{};
  }

  template <class Better>
  [[nodiscard]] double extreme(Better better) const {
    double best = z_[index(unknowns_.temperature.front())];
    for (const int k : unknowns_.temperature) {
      const double value = z_[index(k)];
      best = better(value, best) ? value : best;
    }
    return best;
  }

  [[nodiscard]] double coldest() const {
    return extreme([](double a, double b) { return a < b; });
  }

  const Problem& problem_;
  const MarchOptions& options_;
  Unknowns unknowns_;
  Jacobian jacobian_;
  LinearSolver solver_;
  std::vector<double> z_;
  std::vector<double> before_; ///< empty: the rule begins anew
  std::vector<Window> windows_;
  SolveReport report_;
  double step_size_;
  bool factored_ = false;
};

} // namespace

SolveReport march_average(const Problem& problem, State& state, const MarchOptions& options,
                          State* last) {
  return March(problem, options).run(state, last);
}

SolveReport record_march(const Problem& problem, State& state, const RecordOptions& options,
                         const std::function<void(double, const State&)>& frame) {
  MarchOptions march;
  march.tolerance = options.tolerance;
  march.steady = options.steady;
  return March(problem, march).record(state, options, frame);
}

} // namespace tiltfin
