#pragma once
// What a run has to say beside its results.

#include <mutex>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace tiltfin {

/// Sentences from any thread; each once.
class Remarks {
public:
  void add(std::string sentence) {
    const std::lock_guard lock(mutex_);
    sentences_.insert(std::move(sentence));
  }

  /// In an order that does not depend on the threads.
  [[nodiscard]] std::vector<std::string> all() const {
    const std::lock_guard lock(mutex_);
    return {sentences_.begin(), sentences_.end()};
  }

private:
  mutable std::mutex mutex_;
  std::set<std::string> sentences_;
};

} // namespace tiltfin
