// Writes the demo's bench logs into a directory: invented readings of the invented observatory
// computer, in three shapes. usage: make_bench_logs DIRECTORY
//
// Truth (invented, no measurement): the base stands above the room by factor * power^exponent and
// follows with one time constant, the core by 0.29 K/W above the base with a short one. On it: a
// room that drifts and wanders (first-order autoregression), noise and rounding of the sensors, and
// drop-outs. The generator's seed is fixed, and its numbers do not depend on the standard library.

#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <random>
#include <string>
#include <vector>

namespace {

/// Normal numbers by Box and Muller from a generator that the standard defines bit by bit.
class Noise {
public:
  explicit Noise(std::uint32_t seed) : generator_(seed) {}
  double uniform() { return (static_cast<double>(generator_()) + 0.5) / 4294967296.0; }
  double normal() {
    const double radius = std::sqrt(-2.0 * std::log(uniform()));
    return radius * std::cos(2.0 * std::numbers::pi * uniform());
  }

private:
  std::mt19937 generator_;
};

/// Follows a standard normal number in time.
class Wander {
public:
  Wander(Noise& noise, double step_s, double memory_s)
      : noise_(&noise), keep_(std::exp(-step_s / memory_s)), value_(noise.normal()) {}
  double next() {
    value_ = keep_ * value_ + std::sqrt(1.0 - keep_ * keep_) * noise_->normal();
    return value_;
  }

private:
  Noise* noise_;
  double keep_;
  double value_;
};

struct Machine {
  double factor = 0.0; ///< of the base [K / W^exponent]
  double exponent = 0.0;
  double metal_min = 16.0; ///< time constant
};

struct Reading {
  double time_s = 0.0;
  double core_c = 0.0;
  double room_c = 0.0;
  double power_w = 0.0;
};

/// Soaks one after the other, each from where the last one ended.
std::vector<Reading> soak(const Machine& machine, const std::vector<double>& powers_w,
                          double minutes, double step_s, Noise& noise) {
  Wander draught(noise, step_s, 240.0);
  Wander room(noise, step_s, 1500.0);
  std::vector<Reading> readings;
  double metal_k = 0.0;
  double core_k = 0.0;
  double time = 0.0;
  for (const double power : powers_w) {
    const double end = machine.factor * std::pow(power, machine.exponent);
    for (double t = 0.0; t < 60.0 * minutes - 0.5 * step_s; t += step_s) {
      const double core = 0.29 * power;
      metal_k += (end - metal_k) * (1.0 - std::exp(-step_s / (60.0 * machine.metal_min)));
      core_k += (core - core_k) * (1.0 - std::exp(-step_s / 40.0));
      Reading reading;
      reading.time_s = time;
      reading.room_c = 21.5 + 0.8 * std::sin(time / 9000.0) + 0.15 * room.next();
      reading.core_c = reading.room_c + (metal_k + core_k) * (1.0 + 0.002 * draught.next());
      reading.power_w = power * (1.0 + 0.004 * noise.normal());
      readings.push_back(reading);
      time += step_s;
    }
  }
  return readings;
}

std::string with_comma(double value) {
  std::string text = fmt::format("{:.1f}", value);
  text[text.find('.')] = ',';
  return text;
}

std::string clock_of(double seconds) {
  const int s = static_cast<int>(std::lround(seconds));
  return fmt::format("{:02}:{:02}:{:02}", s / 3600 % 24, s / 60 % 60, s % 60);
}

/// Comma, seconds, power and room as columns; one log of three soaks.
void write_upright(const std::filesystem::path& directory, Noise& noise) {
  std::ofstream file(directory / "upright.csv");
  file << "time_s,core 0,core 1,room,power_w\n";
  for (const Reading& r : soak({1.24, 0.69}, {10.0, 20.0, 40.0}, 120.0, 30.0, noise)) {
    if (noise.uniform() < 0.004) {
      file << fmt::format("{:.0f},,{:.1f},{:.1f},{:.2f}\n", r.time_s, r.core_c, r.room_c,
                          r.power_w); // one sensor silent
      continue;
    }
    file << fmt::format(
        "{:.0f},{:.1f},{:.1f},{:.1f},{:.2f}\n", r.time_s, r.core_c + 0.7 + 0.2 * noise.normal(),
        r.core_c - 0.7 + 0.2 * noise.normal(), r.room_c + 0.1 * noise.normal(), r.power_w);
  }
}

/// Semicolons, decimal commas, date and time apart, a preamble; the room in a second log with other
/// stamps and another rhythm; one log of three soaks that passes midnight and pauses.
void write_flat_up(const std::filesystem::path& directory, Noise& noise) {
  std::ofstream file(directory / "flat-up.csv");
  std::ofstream room(directory / "flat-up-room.csv");
  constexpr double start = 20.5 * 3600.0;
  file << "\xEF\xBB\xBFobservatory computer; invented log\r\n\r\n"
          "Date;Time;Core left;Core right;Fan\r\n;;degC;degC;rpm\r\n";
  room << "stamp,room\n";
  int k = 0;
  for (const Reading& r : soak({1.72, 0.87}, {10.0, 20.0, 40.0}, 120.0, 30.0, noise)) {
    const double clock = start + r.time_s;
    const bool is_next_day = clock >= 86400.0;
    if (k % 10 == 0) {
      room << fmt::format("2026-03-{:02}T{}Z,{:.2f}\n", is_next_day ? 2 : 1, clock_of(clock + 7.0),
                          r.room_c + 0.03 * noise.normal());
    }
    ++k;
    if (r.time_s > 10'000.0 && r.time_s < 10'500.0) {
      continue; // the logger paused
    }
    std::string left = with_comma(r.core_c + 0.2 * noise.normal());
    const double luck = noise.uniform();
    if (luck < 0.004) {
      left = "-127,0"; // the sensor dropped out
    } else if (luck < 0.008) {
      left = "---";
    } else if (luck < 0.014) {
      left = "ERR";
    }
    file << fmt::format("{:02}.03.2026;{};{};{};0\r\n", is_next_day ? 2 : 1, clock_of(clock), left,
                        with_comma(r.core_c + 0.2 * noise.normal()));
  }
}

/// Tabs, minutes, one core, a constant room; one log per power, the last one ended too early.
void write_flat_down(const std::filesystem::path& directory, Noise& noise) {
  const Machine machine{1.76, 0.875};
  for (const auto& [power, minutes] :
       std::vector<std::pair<double, double>>{{10.0, 120.0}, {20.0, 120.0}, {40.0, 45.0}}) {
    std::ofstream file(directory / fmt::format("flat-down-{:g}w.csv", power));
    file << "# invented log\nt [min]\t\"core, mean\"\tremark\n";
    for (const Reading& r : soak(machine, {power}, minutes, 30.0, noise)) {
      const double steady_room = 22.0; // an air-conditioned room, not logged
      file << fmt::format("{:.1f}\t{:.1f}\t{}\n", r.time_s / 60.0,
                          r.core_c - r.room_c + steady_room + 0.2 * noise.normal(),
                          r.time_s == 0.0 ? "\"switched on\"" : "");
    }
  }
}

} // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: make_bench_logs DIRECTORY\n");
    return 2;
  }
  const std::filesystem::path directory = argv[1];
  std::filesystem::create_directories(directory);
  Noise noise(20260301);
  write_upright(directory, noise);
  write_flat_up(directory, noise);
  write_flat_down(directory, noise);
  return 0;
}
