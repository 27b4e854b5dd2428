#include "post/views/animation.hpp"

#include "post/views/flow_drawing.hpp"
#include "post/views/page.hpp"
#include "post/views/picture.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {
namespace {

constexpr double frame_s = 0.5;
constexpr int last_lasts = 3;          // frames
constexpr double frame_margin = 0.3;   // round the machine, of its longer side, as in pictures
constexpr double largest_side = 460.0; // px: two dozen of them in one file
constexpr double frame_left = 24.0;
constexpr double frame_top = 84.0;
constexpr double bar_column = 110.0; // for the colour bar

/// Which frame shows when: each lasts its share of a lap; without motion the last one stays.
std::string laps(std::size_t n) {
  const double n_shown = static_cast<double>(n) + last_lasts - 1.0;
  const double share = 100.0 / n_shown;
  const double last_share = share * last_lasts;
  return fmt::format(
      "<style>.frame{{visibility:hidden;animation:once {0:g}s step-end infinite}}"
      ".last{{visibility:visible;animation-name:end}}"
      "@keyframes once{{0%{{visibility:visible}}{1:.4f}%{{visibility:hidden}}}}"
      "@keyframes end{{0%{{visibility:hidden}}{2:.4f}%{{visibility:visible}}}}"
      "@media print,(prefers-reduced-motion:reduce){{.frame{{animation:none}}}}</style>",
      n_shown * frame_s, share, 100.0 - last_share);
}

} // namespace

std::string time_words(double time_s) {
  constexpr double minute = 60.0;
  constexpr double hour = 3600.0;
  if (time_s < 2.0 * minute) {
    return fmt::format("{:.2g} s", time_s);
  }
  return time_s < 2.0 * hour ? fmt::format("{:.2g} min", time_s / minute)
                             : fmt::format("{:.2g} h", time_s / hour);
}

Drawing animation(const Section& section, const std::string& title,
                  std::span<const AnimationFrame> frames) {
  PictureScale scale = picture_scale(section, *frames.front().flow);
  for (const AnimationFrame& frame : frames) {
    scale = common_scale(scale, picture_scale(section, *frame.flow));
  }
  const Rectangle seen = seen_part(section, frame_margin);
  const SeenFlow& first = *frames.front().flow;
  PageView view =
      fit_view(seen, turn_to_room(first.gravity_x, first.gravity_y), largest_side, largest_side);
  const PagePoint size = size_on_page(view, seen);
  double widest = std::max(size.x, text_width(title, 18.0) - bar_column);
  for (const AnimationFrame& frame : frames) {
    widest = std::max(widest, text_width(frame.caption, 14.0) - bar_column);
  }
  view.middle = {frame_left + 0.5 * widest, frame_top + 0.5 * size.y};
  std::string body = laps(frames.size());
  body += svg_text(frame_left, 34.0, title, {.size = 18.0, .is_bold = true});
  for (std::size_t k = 0; k < frames.size(); ++k) {
    body += k + 1 == frames.size()
                ? std::string("<g class=\"frame last\">")
                : fmt::format("<g class=\"frame\" style=\"animation-delay:{:g}s\">",
                              frame_s * static_cast<double>(k));
    body += svg_text(frame_left, 58.0, frames[k].caption, {.size = 14.0, .colour = soft_ink});
    body += flow_drawing(section, *frames[k].flow,
                         {.seen = seen,
                          .view = view,
                          .scale = scale,
                          .names = fmt::format("frame{}-", k),
                          .pixels_per_px = 0.8,
                          .tolerance = 0.4});
    body += "</g>";
  }
  const double bottom = frame_top + size.y;
  body += colour_bar(scale, {.corner = {frame_left + widest + 24.0, bottom - 100.0},
                             .length = std::max(60.0, size.y - 110.0),
                             .names = "bar-"});
  if (first.gravity_x != 0.0 || first.gravity_y != 0.0) {
    body += gravity_arrow({frame_left + widest + 33.0, bottom - 62.0}, 58.0);
  }
  body += length_bar({frame_left, bottom + 22.0}, view.scale, 0.28 * size.x);
  if (scale.line_g_per_s > 0.0) {
    body += svg_text(frame_left, bottom + 46.0,
                     fmt::format("{:g} g/s of air between neighbouring lines", scale.line_g_per_s),
                     {.size = 13.0, .colour = soft_ink});
  }
  return {frame_left + widest + bar_column, bottom + 62.0, title, body};
}

} // namespace tiltfin
