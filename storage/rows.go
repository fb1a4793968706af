package storage

import "gorm.io/gorm"

// put inserts the row when id is zero, and the row then has its ID, or replaces
// the one of that id.
func put(tx *gorm.DB, row any, id int64) error {
	if id == 0 {
		return tx.Create(row).Error
	}
	return oneRow(tx.Select("*").Updates(row))
}

// oneRow tells an update that found no row.
func oneRow(tx *gorm.DB) error {
	if tx.Error != nil {
		return tx.Error
	}
	if tx.RowsAffected != 1 {
		return ErrNotFound
	}
	return nil
}
