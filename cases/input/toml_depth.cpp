#include "cases/input/toml_depth.hpp"

#include "cases/input/input_error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

namespace tiltfin {
namespace {

/// Walks over the text once; strings and comments are passed over.
class DepthScan {
public:
  DepthScan(const std::string& text, const std::string& name) : text_(text), name_(name) {}

  void run() {
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '"' || c == '\'') {
        pass_string(c);
      } else if (c == '#') {
        at_ = std::min(text_.find('\n', at_), text_.size());
      } else {
        take(c);
        ++at_;
      }
    }
  }

private:
  void take(char c) {
    if (c == '\n') {
      ++line_;
    }
    if (c == '[' || c == '{') {
      check(++brackets_, most_brackets, "brackets in one another");
    } else if (c == ']' || c == '}') {
      brackets_ = std::max(0, brackets_ - 1);
    }
    if (c == '.') {
      check(++parts_, most_key_parts, "parts of a key");
      length_ = 0;
    } else if (std::string_view("=,[]{}\n").find(c) != std::string_view::npos) {
      parts_ = 1;
      length_ = 0;
      is_value_ = c == '=' || (is_value_ && c != '{' && (c != '\n' || brackets_ > 0));
    } else if (!is_value_) {
      check(++length_, longest_key, "bytes of a key's part");
    }
  }

  /// From one quote to its fellow; of three quotes to three.
  void pass_string(char quote) {
    const std::string three(3, quote);
    const bool is_long = text_.compare(at_, 3, three) == 0;
    const std::size_t begin = at_;
    at_ += is_long ? 3 : 1;
    while (at_ < text_.size()) {
      if (text_[at_] == '\\' && quote == '"') {
        ++at_;
        line_ += at_ < text_.size() && text_[at_] == '\n' ? 1 : 0;
      } else if (is_long ? text_.compare(at_, 3, three) == 0 : text_[at_] == quote) {
        at_ += is_long ? 3 : 1;
        break;
      } else if (text_[at_] == '\n') {
        ++line_;
        if (!is_long) {
          break; // never closed: the parser says so
        }
      }
      ++at_;
    }
    at_ = std::min(at_, text_.size());
    if (!is_value_) {
      check(static_cast<int>(std::min<std::size_t>(at_ - begin, 1U << 30U)), longest_key + 2,
            "bytes of a key's part");
    }
  }

  void check(int found, int allowed, const char* what) const {
    if (found > allowed) {
      throw InputError(fmt::format("{}:{}: found more than {} {}, allowed up to {}", name_, line_,
                                   allowed, what, allowed));
    }
  }

  const std::string& text_;
  const std::string& name_;
  std::size_t at_ = 0;
  int line_ = 1;
  int brackets_ = 0;
  int parts_ = 1;
  int length_ = 0;
  bool is_value_ = false;
};

} // namespace

void check_depth(const std::string& text, const std::string& name) {
  DepthScan(text, name).run();
}

} // namespace tiltfin
