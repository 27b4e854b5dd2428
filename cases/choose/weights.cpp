#include "cases/choose/weights.hpp"

#include "cases/file/case.hpp"
#include "cases/input/toml_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

namespace tiltfin {

std::vector<double> orientation_weights(const std::vector<std::string>& weights,
                                        std::span<const Orientation> orientations) {
  std::vector<double> shares(orientations.size(), weights.empty() ? 1.0 : 0.0);
  std::vector<std::string> names;
  for (const Orientation& orientation : orientations) {
    names.push_back(orientation.name);
  }
  std::set<std::string> given;
  for (const std::string& text : weights) {
    const std::size_t sign = text.find('=');
    const std::string name = text.substr(0, sign);
    const auto place = std::ranges::find(names, name);
    double value = -1.0;
    if (sign != std::string::npos) {
      const char* end = text.data() + text.size();
      const auto read = std::from_chars(text.data() + sign + 1, end, value);
      value = read.ec == std::errc() && read.ptr == end && std::isfinite(value) ? value : -1.0;
    }
    if (place == names.end() || value < 0.0) {
      throw InputError(fmt::format("--weights: found '{}', allowed an orientation of the case and "
                                   "a number of 0 or more, such as {}=2; orientations: {}",
                                   text, names.front(), join(names)));
    }
    if (!given.insert(name).second) {
      throw InputError(
          fmt::format("--weights: found '{}', a second weight of {}, allowed one", text, name));
    }
    shares[static_cast<std::size_t>(place - names.begin())] = value;
  }
  double sum = 0.0;
  for (const double share : shares) {
    sum += share;
  }
  if (sum <= 0.0) {
    throw InputError("--weights: found only zeros, allowed at least one weight above 0");
  }
  for (double& share : shares) {
    share /= sum;
  }
  return shares;
}

std::string weights_text(std::span<const double> weights,
                         std::span<const Orientation> orientations) {
  std::string text;
  for (std::size_t k = 0; k < weights.size(); ++k) {
    if (weights[k] > 0.0) {
      text += fmt::format("{}{} {:.0f} %", text.empty() ? "" : ", ", orientations[k].name,
                          100.0 * weights[k]);
    }
  }
  return text;
}

} // namespace tiltfin
