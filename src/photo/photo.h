#pragma once
/// Room `photo`: what a photo's bytes are, the smaller pictures made from it, and the labels seen
/// in it. Pure: bytes in, bytes out. Knows base.
///
/// pictures.h  from an uploaded file to the pictures that screens show
/// message.h   what became of a photo, handed from one process to another
/// format.h    which format the bytes are, by their content
/// picture.h   pixels: turning and shrinking
#include "photo/format.h"    // IWYU pragma: export
#include "photo/message.h"   // IWYU pragma: export
#include "photo/picture.h"   // IWYU pragma: export
#include "photo/pictures.h"  // IWYU pragma: export
