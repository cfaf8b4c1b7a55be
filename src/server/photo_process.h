#pragma once
#include <chrono>
#include <filesystem>
#include <string_view>

#include "photo/pictures.h"

namespace lotwright::server {

/// Decodes photos in processes of their own (`lotwright photo-worker`): a file that is made to do
/// harm can end its worker, and nothing else. For many threads.
class PhotoProcess {
 public:
  /// `program` is started with the argument "photo-worker"; it gets the photo as its standard input
  /// and writes photo::message_of() what it made. What takes longer than `patience` is ended.
  explicit PhotoProcess(std::filesystem::path program,
                        std::chrono::milliseconds patience = std::chrono::seconds(60))
      : program_(std::move(program)), patience_(patience) {}

  /// As photo::make_pictures(). A worker that died or took too long: refused as damaged.
  [[nodiscard]] photo::Result<photo::Pictures> make(std::string_view bytes) const;

 private:
  std::filesystem::path program_;
  std::chrono::milliseconds patience_;
};

/// The worker's own part: takes limits on itself (memory, processor time, no files to write), reads
/// standard input to its end, writes what was made. Gives the exit status.
[[nodiscard]] int run_photo_worker();

}  // namespace lotwright::server
